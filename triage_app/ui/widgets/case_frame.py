"""What every page of a case begins with: its name, the stop signs, the HV notice."""

from dataclasses import dataclass
from html import escape
from typing import NoReturn

import streamlit as st

from rules import CaseAssessment
from triage_app.domain.case import Case
from triage_app.domain.errors import NotFoundError
from triage_app.ui import state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.hv_banner import hv_banner
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.wiring import services


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCase:
    """The case as stored at this run, and what the rules say of it."""

    case: Case
    assessment: CaseAssessment


def open_case() -> OpenCase:
    """Return the case of this page after drawing its head; without one, say so and stop.

    The page shows the notices itself, where they push nothing away under a finger.
    """
    case_id = state.case_id()
    if case_id is None:
        _ask_for_case()
    try:
        case = services().cases.get(case_id)
    except NotFoundError as error:
        st.error(as_typed(str(error)))
        state.choose_case(None)
        _ask_for_case()
    state.show_in_address()
    assessment = services().triage.assess_case(case)
    _head(case)
    hv_banner(case, assessment)
    return OpenCase(case=case, assessment=assessment)


def _head(case: Case) -> None:
    vehicle = case.vehicle.description or case.vehicle.plate
    is_demo = case.reference.startswith(text.DEMO_PREFIX)
    demo = f' <span class="ub-demo">{escape(text.DEMO)}</span>' if is_demo else ""
    st.html(
        f'<p class="ub-case-title">{escape(text.case_title(case.reference, vehicle))}{demo}</p>'
    )


def _ask_for_case() -> NoReturn:
    show_notices()
    st.info(text.NO_CASE)
    next_step(text.NO_CASE_NEXT, go_to=Place.CASES)
    st.stop()
