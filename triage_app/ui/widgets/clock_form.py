"""A camera's clock beside the wall clock: two times, written down at the same moment."""

from datetime import datetime

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import CaseId
from triage_app.ui import photo_text, state
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.wiring import operator, services


def clock_form(case: Case) -> None:
    """Draw the form, once there are photos with a time."""
    if not any(photo.taken_at for photo in case.photos):
        return
    key = f"clock-{case.id}-{len(case.clocks)}"
    with st.expander(photo_text.CLOCK_TITLE):
        st.caption(photo_text.CLOCK_HINT)
        st.selectbox(
            photo_text.CLOCK_CAMERA,
            ("", *case.cameras),
            format_func=lambda camera: camera or photo_text.CLOCK_ALL,
            key=f"{key}-camera",
        )
        shown, really = st.columns(2)
        shown.text_input(
            photo_text.CLOCK_SHOWN, key=f"{key}-shown", placeholder=photo_text.CLOCK_FORM
        )
        really.text_input(
            photo_text.CLOCK_REALLY, key=f"{key}-really", placeholder=photo_text.CLOCK_FORM_ZONE
        )
        st.button(photo_text.CLOCK_SAVE, on_click=_save, args=(case.id, key))


def _save(case_id: CaseId, key: str) -> None:
    with refusals_kept():
        services().photos.compare_clock(
            case_id,
            camera=state.typed(f"{key}-camera"),
            shown=_time(f"{key}-shown", photo_text.CLOCK_FORM),
            really=_time(f"{key}-really", photo_text.CLOCK_FORM_ZONE),
            by=operator(),
        )
        state.notify(photo_text.CLOCK_KEPT)


def _time(key: str, example: str) -> datetime:
    given = state.typed(key)
    try:
        return datetime.fromisoformat(given.strip())
    except ValueError:
        raise InvalidInputError(photo_text.not_a_time(given, example)) from None
