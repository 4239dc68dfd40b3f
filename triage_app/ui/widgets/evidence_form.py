"""The form that puts a test result, a replaced part or the maker's word on record."""

from typing import Any
from uuid import uuid4

import streamlit as st

from rules import EvidenceKind, OpenTest, OpenTestId, TestOutcome
from triage_app.domain.case import Case, Finding
from triage_app.domain.evidence import EvidenceEntry, Instruction, Instrument, MakerCriterion
from triage_app.domain.ids import EvidenceId
from triage_app.ui import evidence_text as said
from triage_app.ui import state
from triage_app.ui.widgets.notices import store_form
from triage_app.ui.wiring import operator, rulebook, services


def evidence_form(case: Case, finding: Finding | None, asked: tuple[OpenTest, ...]) -> None:
    """Ask for one record about the finding, or without one about the whole car."""
    prefix = f"evidence-{finding.id if finding else case.id}-{state.panel_round()}"
    # The record is bound to what was on the screen while the form was filled in.
    seen = state.first_shown(prefix, case)
    if finding and seen.finding(finding.id).revision != finding.revision:
        st.warning(said.FINDING_CHANGED)
    kind = EvidenceKind.TEST_RESULT
    if finding:
        kinds = list(EvidenceKind)
        kind = st.radio(
            said.KIND,
            kinds,
            index=0,
            key=f"{prefix}-kind",
            format_func=said.KINDS.__getitem__,
            horizontal=True,
        )
    with st.form(f"{prefix}-{kind.name}", border=False, enter_to_submit=False):
        entered = _fields(kind, asked, prefix)
        wanted = st.form_submit_button(said.SAVE, type="primary")
    if wanted:
        store_form(prefix, lambda: _store(seen, finding, kind, entered), done=said.SAVED)


_Entered = dict[str, Any]  # as the fields give it; the domain checks it


def _fields(kind: EvidenceKind, asked: tuple[OpenTest, ...], prefix: str) -> _Entered:
    entered: _Entered = {}
    if kind is EvidenceKind.TEST_RESULT:
        entered |= _test(asked, prefix)
    if kind is EvidenceKind.MAKER_INSTRUCTION:
        entered["instruction"] = st.selectbox(
            said.INSTRUCTION,
            list(Instruction)[::-1],
            key=f"{prefix}-instruction",
            format_func=said.INSTRUCTIONS.__getitem__,
        )
    if kind is not EvidenceKind.PART_REPLACED:
        entered |= _criterion(kind, prefix)
    entered["note"] = st.text_area(said.NOTE, key=f"{prefix}-note", height=80)
    return entered


def _test(asked: tuple[OpenTest, ...], prefix: str) -> _Entered:
    first = [test.id for test in asked]
    tests = [*first, *(test for test in rulebook().open_tests if test not in first)]

    def shown(test: OpenTestId) -> str:
        other = "" if test in first else f" ({said.TEST_OTHER})"
        return f"{rulebook().open_tests[test].text}{other}"

    entered: _Entered = {
        "test": st.selectbox(said.TEST, tests, key=f"{prefix}-test", format_func=shown),
        "outcome": st.radio(
            said.OUTCOME,
            list(TestOutcome)[::-1],
            key=f"{prefix}-outcome",
            format_func=said.OUTCOMES.__getitem__,
            horizontal=True,
        ),
    }
    value, unit = st.columns(2)
    entered["value"] = value.number_input(
        said.VALUE_FIELD, value=None, key=f"{prefix}-value", format="%g"
    )
    entered["unit"] = unit.text_input(said.UNIT, key=f"{prefix}-unit")
    name, serial, due = st.columns(3)
    entered["instrument"] = name.text_input(said.INSTRUMENT_FIELD, key=f"{prefix}-instrument")
    entered["serial"] = serial.text_input(said.SERIAL, key=f"{prefix}-serial")
    entered["due"] = due.date_input(said.CALIBRATED, value=None, key=f"{prefix}-due")
    return entered


def _criterion(kind: EvidenceKind, prefix: str) -> _Entered:
    if kind is EvidenceKind.TEST_RESULT:
        st.caption(said.CRITERION_HINT)
    entered: _Entered = {
        "criterion": st.text_input(said.CRITERION_FIELD, key=f"{prefix}-criterion")
    }
    document, dated = st.columns(2)
    entered["document"] = document.text_input(said.DOCUMENT, key=f"{prefix}-document")
    entered["document_date"] = dated.text_input(said.DOCUMENT_DATE, key=f"{prefix}-dated")
    return entered


def _store(seen: Case, finding: Finding | None, kind: EvidenceKind, entered: _Entered) -> None:
    services().evidence.record(
        seen,
        _entry(kind, entered),
        by=operator(),
        finding_id=finding.id if finding else None,
        record_id=EvidenceId(uuid4().hex),
    )
    state.draw_panel_afresh()


def _entry(kind: EvidenceKind, entered: _Entered) -> EvidenceEntry:
    """Return what was entered as one entry; InvalidInputError says what does not fit."""
    known: dict[str, Any] = {
        name: entered[name]
        for name in ("test", "outcome", "value", "unit", "instruction")
        if name in entered
    }
    name, serial, due = (entered.get(one) for one in ("instrument", "serial", "due"))
    if name or serial or due:
        known["instrument"] = Instrument(name=str(name), serial=str(serial), calibration_due=due)
    texts = [str(entered.get(one, "")) for one in ("criterion", "document", "document_date")]
    if any(texts):
        criterion, document, dated = texts
        known["criterion"] = MakerCriterion(text=criterion, document=document, document_date=dated)
    return EvidenceEntry(kind=kind, note=str(entered["note"]), **known)
