"""Previous, next, and the strip of all photos."""

import streamlit as st

from triage_app.domain.case import Case, Photo
from triage_app.domain.ids import PhotoId
from triage_app.ui import mark_text, state
from triage_app.ui.markdown import as_typed
from triage_app.ui.picture_links import SMALL_SIDE_PX, picture_link
from triage_app.ui.widgets.photo_strip import StripPhoto, photo_strip


def photo_turner(case: Case, current: Photo) -> None:
    """Show where we are among the photos, and go to another one."""
    ids = [photo.id for photo in case.photos]
    at = ids.index(current.id)
    with st.container(horizontal=True, vertical_alignment="center", key="ub-turner"):
        _turn(mark_text.PREVIOUS_PHOTO, ids[at - 1] if at > 0 else None)
        st.markdown(mark_text.photo_of(at + 1, len(ids), as_typed(current.file_name)))
        _turn(mark_text.NEXT_PHOTO, ids[at + 1] if at + 1 < len(ids) else None)


def strip_of(case: Case, current: Photo) -> None:
    """Show all photos in small; a tap goes to one."""
    photo_strip(
        key=f"strip-{case.id}",
        photos=[_small(case, number, photo) for number, photo in enumerate(case.photos, 1)],
        current=current.id,
        on_choose=_go_to,
    )


def _turn(label: str, photo_id: PhotoId | None) -> None:
    st.button(label, disabled=photo_id is None, on_click=_go_to, args=(photo_id,))


def _go_to(photo_id: PhotoId) -> None:
    """Go to a photo; a finding stays chosen only while further views of it are being marked."""
    state.choose_photo(photo_id)
    state.select(None, state.further_view_of())


def _small(case: Case, number: int, photo: Photo) -> StripPhoto:
    marks = len(case.marks_on(photo.id))
    return StripPhoto(
        photo_id=photo.id,
        url=picture_link(case.id, photo.id, side_px=SMALL_SIDE_PX),
        label=mark_text.strip_label(number, marks),
        title=mark_text.strip_title(number, photo.file_name, marks),
    )
