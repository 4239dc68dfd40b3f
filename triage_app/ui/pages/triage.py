"""What the rules say of the case and of each finding, the worst first, with every reason."""

from html import escape

import streamlit as st

from rules import Assessment, CaseAssessment
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import FindingId
from triage_app.ui import evidence_text, mark_text, navigation, state, text, what_if_text, words
from triage_app.ui.names import finding_name, photo_numbers
from triage_app.ui.navigation import Place
from triage_app.ui.panels import Panel
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.case_outcome import advice_html, overall_html, short_advice_html
from triage_app.ui.widgets.close_up import close_up_html
from triage_app.ui.widgets.evidence_panel import car_evidence, finding_evidence, waiting_of
from triage_app.ui.widgets.finding_answer import full_answer_html
from triage_app.ui.widgets.finding_list import choose_finding
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.widgets.what_if_panel import what_if_panel


def show() -> None:
    opened = open_case()
    case, assessment = opened.case, opened.assessment
    show_notices()
    st.title(text.PAGE_TRIAGE, anchor=False)
    next_step(_what_next(case), go_to=Place.REPORT if case.open_findings else Place.MARK)
    _case_answer(case, assessment)
    for finding in _worst_first(case, assessment):
        _finding(case, finding, assessment.of(finding.id))
    st.caption(text.rulebook_line(assessment.stamp))


def _what_next(case: Case) -> str:
    if not case.open_findings:
        return text.TRIAGE_NEXT_EMPTY
    if any(state.draft_of(finding.id) for finding in case.open_findings):
        return text.TRIAGE_NEXT_UNSAVED
    return text.TRIAGE_NEXT_REPORT


def _worst_first(case: Case, assessment: CaseAssessment) -> list[Finding]:
    def badness(finding: Finding) -> tuple[int, int, int]:
        answer = assessment.of(finding.id)
        return (-answer.risk, -answer.hv_flag, finding.number)

    return sorted(case.open_findings, key=badness)


def _case_answer(case: Case, assessment: CaseAssessment) -> None:
    actions = [one.text for one in sorted(assessment.actions, key=lambda action: action.order)]
    has_rest = assessment.residual_risk is not None
    asked = assessment.residual_open_tests if has_rest else assessment.open_tests
    with st.container(border=True):
        st.subheader(text.CASE_ANSWER, anchor=False)
        st.html(
            overall_html(case, assessment)
            + short_advice_html(assessment)
            + _overview(case, assessment)
        )
        with st.expander(text.OUTCOME):
            st.html(advice_html(assessment))
        _folded_list(text.ACTIONS, "ol", actions)
        if case.open_findings:
            waiting = waiting_of(case, None)
            _panel_button(Panel.EVIDENCE, None, evidence_text.of_whole_car(len(asked), waiting))
            if state.open_panel() == (Panel.EVIDENCE, None):
                car_evidence(case, assessment)


def _overview(case: Case, assessment: CaseAssessment) -> str:
    """Return every finding in one line each, the worst first."""
    rows = []
    has_rest = assessment.residual_risk is not None
    for finding in _worst_first(case, assessment):
        answer = assessment.of(finding.id)
        rows.append(
            f"<tr><td>{escape(finding_name(finding))}</td><td>{risk_badge_html(answer.risk)}</td>"
            f"<td>{hv_chip_html(answer.hv_flag)}</td>"
            f"<td>{escape(words.DISPOSITIONS[answer.disposition])}</td>"
            f"{_remaining(answer) if has_rest else ''}</tr>"
        )
    if not rows:
        return ""
    heads = [text.FINDING, text.HAZARD_NOW, text.HIGH_VOLTAGE, text.REPAIR_NEEDED]
    heads += [evidence_text.REMAINS] if has_rest else []
    head = "".join(f"<th>{escape(title)}</th>" for title in heads)
    return (
        f'<table class="ub-table"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _remaining(answer: Assessment) -> str:
    """Return what remains of a finding as a cell; all of it where no record speaks of it."""
    rest = answer.residual
    return f"<td>{risk_badge_html(rest.risk) if rest else evidence_text.AS_HAZARD_NOW}</td>"


def _folded_list(title: str, tag: str, lines: list[str]) -> None:
    if not lines:
        return
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    with st.expander(f"{title} ({len(lines)})"):
        st.html(f'<{tag} class="ub-list">{items}</{tag}>')


def _finding(case: Case, finding: Finding, answer: Assessment) -> None:
    with st.container(border=True, key=f"ub-finding-{finding.id}"):
        st.subheader(finding_name(finding), anchor=False)
        picture, words = st.columns([1, 2], gap="medium")
        with picture:
            for mark in finding.marks[:1]:
                st.html(close_up_html(case, mark, answer.risk, alt=finding_name(finding)))
            st.caption(mark_text.seen_on(photo_numbers(case, finding)))
            if st.button(text.EDIT_FINDING, key=f"edit-{finding.id}"):
                choose_finding(finding)
                st.switch_page(navigation.page(Place.MARK), query_params=state.address())
        with words:
            st.html(full_answer_html(case, answer))
        _panels(case, finding, answer)


def _panels(case: Case, finding: Finding, answer: Assessment) -> None:
    """Draw the buttons of the panels, and the one panel that is open, over the full width."""
    asked = answer.residual.open_tests if answer.residual else answer.open_tests
    with st.container(horizontal=True):
        label = evidence_text.open_panel(len(asked), waiting_of(case, finding.id))
        _panel_button(Panel.EVIDENCE, finding.id, label)
        _panel_button(Panel.WHAT_IF, finding.id, what_if_text.OPEN)
    if state.open_panel() == (Panel.EVIDENCE, finding.id):
        finding_evidence(case, finding, answer)
    if state.open_panel() == (Panel.WHAT_IF, finding.id):
        what_if_panel(case, finding)


def _panel_button(panel: Panel, finding_id: FindingId | None, label: str) -> None:
    is_open = state.open_panel() == (panel, finding_id)
    st.button(
        f"{label} {'▴' if is_open else '▾'}",
        key=f"panel-{panel.name}-{finding_id or 'car'}",
        on_click=state.turn_panel,
        args=(panel, finding_id),
    )
