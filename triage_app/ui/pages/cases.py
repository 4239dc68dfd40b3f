"""The list of cases: find one, open one, start a new one."""

from html import escape
from uuid import uuid4

import streamlit as st

from rules import HvFlag
from triage_app.domain.errors import TriageError
from triage_app.domain.ids import CaseId
from triage_app.domain.vehicle import Vehicle
from triage_app.services.ports import CaseSummary
from triage_app.ui import navigation, state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.names import shown_time
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.wiring import operator, services

_PAGE = 25


def show() -> None:
    st.title(text.PAGE_CASES, anchor=False)
    show_notices()
    total = services().cases.count()
    next_step(text.CASES_NEXT if total else text.CASES_NEXT_EMPTY)
    with st.expander(text.NEW_CASE, expanded=total == 0):
        _new_case()
    if total:
        _list_of_cases()


def _new_case() -> None:
    with st.form("new-case", border=False, enter_to_submit=False):
        vehicle = st.text_input(text.NEW_VEHICLE, placeholder=text.NEW_VEHICLE_HINT)
        reference = st.text_input(text.NEW_REFERENCE, placeholder=text.NEW_REFERENCE_HINT)
        wanted = st.form_submit_button(text.OPEN_NEW_CASE, type="primary")
    if wanted:
        _open_new_case(reference, vehicle)
    else:
        state.begin_new_case()


def _open_new_case(reference: str, vehicle: str) -> None:
    try:
        case = services().intake.open_case(
            by=operator(),
            reference=reference.strip() or None,
            vehicle=Vehicle(description=vehicle),
            case_id=state.new_case_id(make=uuid4().hex),
        )
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    state.new_case_opened()
    _go_to(case.id, Place.INTAKE)


def _list_of_cases() -> None:
    search = st.text_input(text.SEARCH, key="case-search").strip()
    total = services().cases.count(search=search)
    if total == 0:
        st.info(as_typed(text.no_case_matches(search)))
        return
    wanted = state.cases_shown(at_least=_PAGE)
    summaries = services().cases.summaries(limit=wanted, search=search)
    st.caption(text.shown_of(len(summaries), total))
    for summary in summaries:
        _row(summary)
    if total > len(summaries):
        st.button(text.SHOW_MORE, on_click=state.show_more_cases, args=(wanted + _PAGE,))


def _row(summary: CaseSummary) -> None:
    with st.container(
        border=True,
        horizontal=True,
        vertical_alignment="center",
        key=f"ub-row-{summary.case_id}",
    ):
        st.html(_row_html(summary))
        label = f"{text.OPEN_CASE} {as_typed(summary.reference)}"
        if st.button(label, key=f"open-{summary.case_id}", type="primary"):
            _go_to(summary.case_id, Place.MARK if summary.photo_count else Place.INTAKE)


def _row_html(summary: CaseSummary) -> str:
    is_demo = summary.reference.startswith(text.DEMO_PREFIX)
    demo = f'<span class="ub-demo">{escape(text.DEMO)}</span>' if is_demo else ""
    hv = "" if summary.hv_flag is HvFlag.NONE else hv_chip_html(summary.hv_flag)
    line = text.case_line(summary.photo_count, summary.finding_count, shown_time(summary.opened.at))
    return (
        f'<div class="ub-case"><p class="ub-case-name"><b>{escape(summary.reference)}</b> '
        f"{escape(summary.vehicle)} {demo}</p>"
        f'<p class="ub-chips">{risk_badge_html(summary.risk)}{hv}</p>'
        f'<p class="ub-quiet">{escape(line)}</p></div>'
    )


def _go_to(case_id: CaseId, place: Place) -> None:
    state.choose_case(case_id)
    st.switch_page(navigation.page(place), query_params={"case": case_id})
