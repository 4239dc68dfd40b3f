"""The findings of a case as large buttons: choose one to see its photo and say what it is."""

from html import escape

import streamlit as st

from rules import CaseAssessment
from triage_app.domain.case import Case, Finding
from triage_app.ui import mark_text, state
from triage_app.ui.names import finding_name, photo_numbers
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html


def finding_list(case: Case, assessment: CaseAssessment) -> None:
    """Show every finding that counts, in order of number, whichever photo it is on."""
    st.subheader(mark_text.FINDINGS, anchor=False)
    if not case.open_findings:
        st.info(mark_text.FINDINGS_NONE)
        return
    st.caption(mark_text.FINDINGS_HINT)
    for finding in case.open_findings:
        st.button(
            finding_name(finding),
            key=f"choose-{finding.id}",
            width="stretch",
            on_click=choose_finding,
            args=(finding,),
        )
        st.html(_row_html(case, assessment, finding))


def choose_finding(finding: Finding) -> None:
    """Select a finding and go to a photo that shows it; stay where we are if this one does."""
    marks = finding.marks
    here = [mark for mark in marks if mark.photo_id == state.remembered_photo()]
    mark = next(iter(here or marks), None)
    state.select(mark.id if mark else None, finding.id)
    if mark:
        state.choose_photo(mark.photo_id)


def _row_html(case: Case, assessment: CaseAssessment, finding: Finding) -> str:
    answer = assessment.of(finding.id)
    seen = escape(mark_text.seen_on(photo_numbers(case, finding)))
    unsaved = f"<b>{escape(mark_text.UNSAVED)}</b>" if state.draft_of(finding.id) else ""
    return (
        f'<p class="ub-chips ub-under">{risk_badge_html(answer.risk)}'
        f'{hv_chip_html(answer.hv_flag)}<span class="ub-quiet">{seen} {unsaved}</span></p>'
    )
