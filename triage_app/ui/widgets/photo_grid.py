"""The photos of a case with what their pixels complain of."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case, Photo
from triage_app.ui import photo_text, text
from triage_app.ui.names import shown_time
from triage_app.ui.picture_links import SMALL_SIDE_PX, picture_link


def photo_grid(case: Case) -> None:
    """Show every photo by our own address, with its number, name, time and complaints."""
    if not case.photos:
        st.info(text.NO_PHOTOS)
        return
    numbers = {photo.id: number for number, photo in enumerate(case.photos, 1)}
    cards = "".join(_card(case, numbers[photo.id], photo) for photo in case.photos_by_time)
    st.html(f'<div class="ub-grid">{cards}</div>')


def _card(case: Case, number: int, photo: Photo) -> str:
    caption = text.photo_caption(number, photo.file_name)
    really = case.really_taken_at(photo)
    taken = f"{photo.taken_at:%Y-%m-%d %H:%M}" if photo.taken_at else None
    told = photo_text.really_taken(shown_time(really)) if really else text.taken_at(taken)
    complaints = "".join(
        f'<p class="ub-complaint"><b>{escape(photo_text.RETAKE_UPLOAD)}</b> {escape(said)}</p>'
        for said in photo.quality.complaints
    )
    link = picture_link(case.id, photo.id, side_px=SMALL_SIDE_PX)
    return (
        f'<figure><img src="{escape(link)}" alt="{escape(caption)}" loading="lazy">'
        f"<figcaption><b>{escape(caption)}</b><br>"
        f"{escape(told)}, {photo.width_px} x {photo.height_px}{complaints}"
        "</figcaption></figure>"
    )
