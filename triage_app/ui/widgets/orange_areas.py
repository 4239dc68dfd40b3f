"""The orange areas proposed on one photo, each with what people say it is."""

import streamlit as st

from triage_app.domain.case import Photo
from triage_app.domain.ids import CaseId
from triage_app.domain.proposals import Opinion
from triage_app.ui import photo_text, state
from triage_app.ui.markdown import as_typed
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.wiring import operator, services


def orange_areas(case_id: CaseId, photo: Photo) -> None:
    """List the areas, with the way to say what one is; nothing where there are none."""
    areas = range(len(photo.orange_areas))
    if not areas:
        return
    unsaid = sum(photo.opinion_on(area) is None for area in areas)
    title = photo_text.orange_title(len(areas), unsaid)
    with st.expander(title, key=f"ub-orange-{photo.id}"):
        st.caption(photo_text.ORANGE_HINT)
        for area in areas:
            _area(case_id, photo, area)


def _area(case_id: CaseId, photo: Photo, area: int) -> None:
    given = photo.opinion_on(area)
    said = photo_text.ORANGE_UNSAID
    if given:
        said = photo_text.opinion_line(given.opinion, given.signed.by, given.reason)
    st.markdown(f"**{photo_text.orange_name(area)}** {as_typed(said)}")
    key = f"orange-{photo.id}-{area}-{len(photo.orange_opinions)}"
    with st.popover(photo_text.ORANGE_SAY, key=f"{key}-say"):
        st.radio(
            photo_text.orange_name(area),
            list(Opinion),
            format_func=photo_text.ORANGE_WORDS.__getitem__,
            key=f"{key}-opinion",
        )
        st.text_input(
            photo_text.ORANGE_REASON, key=f"{key}-why", placeholder=photo_text.ORANGE_REASON_HINT
        )
        st.button(
            photo_text.ORANGE_SAVE,
            key=f"{key}-save",
            on_click=_save,
            args=(case_id, photo, area, key),
        )


def _save(case_id: CaseId, photo: Photo, area: int, key: str) -> None:
    with refusals_kept():
        services().photos.judge_orange(
            case_id,
            photo.id,
            area,
            Opinion(str(state.field_value(f"{key}-opinion"))),
            reason=state.typed(f"{key}-why"),
            by=operator(),
        )
        state.notify(photo_text.ORANGE_KEPT)
