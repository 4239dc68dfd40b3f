"""Previous, next, and the strip of all photos."""

import streamlit as st

from triage_app.domain.case import Case, Photo
from triage_app.domain.ids import CaseId, PhotoId
from triage_app.ui import mark_text, state
from triage_app.ui.markdown import as_typed
from triage_app.ui.picture_links import SMALL_SIDE_PX, picture_link
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.widgets.photo_strip import StripPhoto, photo_strip
from triage_app.ui.wiring import operator, services


def photo_turner(case: Case, current: Photo) -> None:
    """Show where we are among the photos, and go to another one."""
    ids = [photo.id for photo in case.photos]
    at = ids.index(current.id)
    with st.container(horizontal=True, vertical_alignment="center", key="ub-turner"):
        _turn(mark_text.PREVIOUS_PHOTO, ids[at - 1] if at > 0 else None)
        st.markdown(mark_text.photo_of(at + 1, len(ids), as_typed(current.file_name)))
        _turn(mark_text.NEXT_PHOTO, ids[at + 1] if at + 1 < len(ids) else None)
        _nothing_found(case, current)


def _nothing_found(case: Case, photo: Photo) -> None:
    """Say that this photo shows no damage, or take it back; and which photos are still open."""
    if not case.marks_on(photo.id):
        is_said = photo.nothing_found is not None
        label = mark_text.NOTHING_FOUND_BACK if is_said else mark_text.NOTHING_FOUND
        st.button(label, key=f"nothing-{photo.id}", on_click=_say_nothing, args=(case.id, photo))
    open_ids = {one.id for one in case.photos_to_look_at}
    numbers = [number for number, one in enumerate(case.photos, 1) if one.id in open_ids]
    told = mark_text.still_to_look_at(numbers)
    if photo.nothing_found and not case.marks_on(photo.id):
        told = f"{mark_text.nothing_found_by(photo.nothing_found.by)} {told}"
    st.caption(as_typed(told), width="content")


def _say_nothing(case_id: CaseId, photo: Photo) -> None:
    with refusals_kept():
        is_so = photo.nothing_found is None
        services().photos.nothing_found(case_id, photo.id, is_so=is_so, by=operator())


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
        label=mark_text.strip_label(number, marks, is_clear=photo.nothing_found is not None),
        title=mark_text.strip_title(number, photo.file_name, marks),
    )
