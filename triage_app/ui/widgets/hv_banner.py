"""The notice on every page of a case with a high-voltage flag. It cannot be put away."""

from html import escape

import streamlit as st

from rules import CaseAssessment, HvFlag
from triage_app.domain.admission.status import AdmissionState
from triage_app.domain.case import Case
from triage_app.ui import gate_text, text, words
from triage_app.ui.names import finding_name
from triage_app.ui.safing_text import record_line
from triage_app.ui.widgets.risk_badge import hv_sign_html
from triage_app.ui.wiring import services

_STOP_TITLES = {
    AdmissionState.HELD: gate_text.HELD_SHORT,
    AdmissionState.ADMITTED: gate_text.ADMITTED_SHORT,
}


def hv_banner(case: Case, assessment: CaseAssessment) -> None:
    """Draw the stop conditions and the HV notice of this case, where it has any."""
    record = record_line(services().safing.status(case))
    gate = services().admission.status(case).state
    html = stop_html(assessment, gate) + banner_html(case, assessment, record)
    if html:
        st.html(html)


def stop_html(assessment: CaseAssessment, gate: AdmissionState) -> str:
    """Return the signs that forbid work on the car, or nothing: one loud line that unfolds.

    A car that is held says so, also where every sign is "no" and nobody put their name to it.
    """
    is_held = gate is AdmissionState.HELD
    if not assessment.stop_conditions and not is_held:
        return ""
    title = _STOP_TITLES.get(gate, text.STOP_TITLE)
    reasons = [escape(why.because) for why in assessment.stop_conditions]
    if is_held:
        reasons = [escape(gate_text.HELD_MEANS), *reasons]
    listed = "".join(f"<li>{reason}</li>" for reason in reasons)
    return (
        f'<section class="ub-stop" role="alert"><details><summary>'
        f"<b>{escape(text.STOP)}</b> <span>{escape(title)}</span>"
        f'<span class="ub-more">{escape(text.stop_reasons(len(reasons)))}</span></summary>'
        f"<ul>{listed}</ul></details></section>"
    )


def banner_html(case: Case, assessment: CaseAssessment, record: str) -> str:
    """Return the HV notice with the state of the record, or nothing when no finding is flagged."""
    if assessment.hv_flag is HvFlag.NONE:
        return ""
    word = words.SIGNAL_WORDS[assessment.signal_word]
    return f"""
    <section class="ub-hv ub-hv-{word.lower()}" role="alert">
      <details><summary>{hv_sign_html(size_px=40)}
        <span class="ub-hv-title"><span class="ub-word">{escape(word)}</span>
        {escape(text.HV_TITLE)}</span>
        <span class="ub-hv-flagged">{escape(_flagged(case, assessment))}</span>
        <span class="ub-more">{escape(text.HV_MORE)}</span></summary>
        <ol>{_safing_list(assessment)}</ol><ul>{_flag_list(case, assessment)}</ul></details>
      <p>{escape(text.HV_FIRST)} <b>{escape(text.HV_ENERGY)}</b> {escape(record)}</p>
    </section>"""


def _flagged(case: Case, assessment: CaseAssessment) -> str:
    def numbers(flag: HvFlag) -> list[int]:
        flagged = {one.finding_id for one in assessment.findings if one.hv_flag is flag}
        return [finding.number for finding in case.open_findings if finding.id in flagged]

    return text.hv_flagged(numbers(HvFlag.AT_HV), numbers(HvFlag.WITHIN_REACH))


def _flag_list(case: Case, assessment: CaseAssessment) -> str:
    items = []
    for finding in case.open_findings:
        answer = assessment.of(finding.id)
        if answer.hv_flag is not HvFlag.NONE:
            why = " ".join(reason.because for reason in answer.hv_reasons)
            items.append(
                f"<li><b>{escape(finding_name(finding))}</b>: "
                f"{escape(words.HV_FLAGS[answer.hv_flag])}. {escape(why)}</li>"
            )
    return "".join(items)


def _safing_list(assessment: CaseAssessment) -> str:
    safing = sorted((one for one in assessment.actions if one.is_safing), key=lambda a: a.order)
    return "".join(f"<li>{escape(action.text)}</li>" for action in safing)
