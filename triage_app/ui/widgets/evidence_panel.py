"""Tests and records of a finding or of the whole car: outstanding, on record, and what remains."""

from html import escape

import streamlit as st

from rules import Assessment, CaseAssessment, OpenTest
from triage_app.domain.case import Case, Finding
from triage_app.domain.evidence import EvidenceRecord, Verdict
from triage_app.domain.evidence_standing import Standing, standing_of
from triage_app.domain.ids import CaseId, EvidenceId, FindingId
from triage_app.domain.safing.islands import ISOLATION_TEST, not_measured
from triage_app.domain.signed import is_same_person
from triage_app.ui import evidence_text as said
from triage_app.ui import state
from triage_app.ui.names import shown_time
from triage_app.ui.rule_book.entry import lines_html
from triage_app.ui.widgets.evidence_form import evidence_form
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.widgets.remains import remains_html, tests_html
from triage_app.ui.wiring import operator, rulebook, services

_OPEN_TO_WITHDRAW = (
    Standing.WAITING,
    Standing.COUNTS,
    Standing.NOT_CURRENT,
    Standing.ON_HOLD,
)


def records_of(case: Case, finding_id: FindingId | None) -> list[EvidenceRecord]:
    return [record for record in case.evidence if record.finding_id == finding_id]


def waiting_of(case: Case, finding_id: FindingId | None) -> int:
    """Return how many records of it wait for another person."""
    return sum(
        standing_of(case, record) is Standing.WAITING for record in records_of(case, finding_id)
    )


def finding_evidence(case: Case, finding: Finding, answer: Assessment) -> None:
    """Draw what remains of one finding, its records, and the form for one more."""
    asked = answer.residual.open_tests if answer.residual else answer.open_tests
    with st.container(border=True, key="ub-evidence"):
        st.html(f'<div class="ub-answer">{remains_html(answer)}</div>')
        _rest(case, finding, asked)


def car_evidence(case: Case, assessment: CaseAssessment) -> None:
    """Draw the tests of the whole car."""
    has_rest = assessment.residual_risk is not None
    asked = assessment.residual_open_tests if has_rest else assessment.open_tests
    with st.container(border=True, key="ub-evidence"):
        _rest(case, None, asked)


def _rest(case: Case, finding: Finding | None, asked: tuple[OpenTest, ...]) -> None:
    st.html(f'<div class="ub-answer">{tests_html(said.OUTSTANDING, asked)}</div>')
    if any(test.id == ISOLATION_TEST for test in asked):
        lacking = not_measured(services().safing.isolation(case))
        if lacking:
            st.warning(lacking)
    st.html(f'<div class="ub-answer"><h4>{escape(said.RECORDS)}</h4></div>')
    records = records_of(case, finding.id if finding else None)
    if not records:
        st.caption(said.NO_RECORDS)
    for record in records:
        _record(case, record)
    with st.expander(said.ADD, expanded=not records):
        evidence_form(case, finding, asked)


def _record(case: Case, record: EvidenceRecord) -> None:
    standing = standing_of(case, record)
    with st.container(border=True, key=f"ub-record-{record.id}"):
        st.html(record_html(record, standing))
        if standing in _OPEN_TO_WITHDRAW:
            _verdicts(case.id, record, standing)


def record_html(record: EvidenceRecord, standing: Standing) -> str:
    """Return one record in full, with where it stands first."""
    entry = record.entry
    criterion = said.NO_CRITERION if entry.test else ""
    if entry.criterion:
        criterion = (
            f"{entry.criterion.text} ({entry.criterion.document}, {entry.criterion.document_date})"
        )
    rows = (
        (said.VALUE, "" if entry.value is None else f"{entry.value:g} {entry.unit}"),
        (said.INSTRUMENT, _instrument(record)),
        (said.CRITERION, criterion),
        (said.NOTE, entry.note),
        (said.RECORDED, f"{record.recorded.by}, {shown_time(record.recorded.at)}"),
    )
    decisions = [
        said.decided(str(one.verdict), one.signed.by, shown_time(one.signed.at), one.reason)
        for one in record.decisions
    ]
    counts = "ub-counts" if standing is Standing.COUNTS else "ub-counts-not"
    return (
        f"<p><b>{escape(said.record_title(record.number, what_of(record)))}</b></p>"
        f'<p class="{counts}">{escape(said.STANDINGS[standing])}</p>'
        + lines_html([(label, [escape(line)]) for label, line in rows if line])
        + "".join(f"<p>{escape(line)}</p>" for line in decisions)
    )


def what_of(record: EvidenceRecord) -> str:
    """Return what a record says, in one line."""
    entry = record.entry
    if entry.test is not None and entry.outcome is not None:
        test = rulebook().open_tests.get(entry.test)
        return f"{said.OUTCOMES[entry.outcome]}: {test.text if test else entry.test}"
    if entry.instruction is not None:
        return f"{said.KINDS[entry.kind]}: {said.INSTRUCTIONS[entry.instruction]}"
    return said.KINDS[entry.kind]


def _instrument(record: EvidenceRecord) -> str:
    instrument = record.entry.instrument
    if instrument is None:
        return ""
    due = instrument.calibration_due
    until = said.calibrated_until(f"{due}") if due else said.CALIBRATION_UNKNOWN
    return ", ".join(part for part in (instrument.name, instrument.serial, until) if part)


def _verdicts(case_id: CaseId, record: EvidenceRecord, standing: Standing) -> None:
    own = is_same_person(record.recorded.by, operator().name)
    may_decide = standing is Standing.WAITING and not own
    if standing is Standing.WAITING and own:
        st.caption(said.OWN_RECORD)
    reason_key = f"reason-{record.id}"
    st.text_input(said.REASON, key=reason_key)
    with st.container(horizontal=True):
        if may_decide:
            st.button(
                said.ACCEPT,
                key=f"accept-{record.id}",
                type="primary",
                on_click=_accept,
                args=(case_id, record.id),
            )
            st.button(
                said.DECLINE,
                key=f"decline-{record.id}",
                on_click=_with_reason,
                args=(case_id, record.id, Verdict.DECLINED),
            )
        st.button(
            said.WITHDRAW,
            key=f"withdraw-{record.id}",
            on_click=_with_reason,
            args=(case_id, record.id, Verdict.WITHDRAWN),
        )


def _accept(case_id: CaseId, record_id: EvidenceId) -> None:
    with refusals_kept():
        services().evidence.accept(case_id, record_id, by=operator())
        state.notify(said.ACCEPTED)


def _with_reason(case_id: CaseId, record_id: EvidenceId, verdict: Verdict) -> None:
    reason = state.typed(f"reason-{record_id}").strip()
    if not reason:
        state.notify(said.REASON_NEEDED, state.Tone.PROBLEM)
        return
    with refusals_kept():
        if verdict is Verdict.DECLINED:
            services().evidence.decline(case_id, record_id, reason=reason, by=operator())
            state.notify(said.DECLINED)
        else:
            services().evidence.withdraw(case_id, record_id, reason=reason, by=operator())
            state.notify(said.WITHDRAWN)
