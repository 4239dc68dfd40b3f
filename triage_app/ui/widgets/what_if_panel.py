"""What if one fact were different: old and new side by side. Nothing is saved."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import streamlit as st

from rules import EvidenceKind, Powertrain, TestOutcome
from triage_app.domain.case import Case, Finding
from triage_app.domain.errors import TriageError
from triage_app.domain.evidence import EvidenceEntry, MakerCriterion
from triage_app.domain.what_if import (
    SupposeEvidence,
    SupposeFinding,
    SupposeVehicle,
    Supposition,
)
from triage_app.ui import evidence_text, state, text
from triage_app.ui import what_if_text as said
from triage_app.ui.markdown import as_typed
from triage_app.ui.what_if_text import Fact
from triage_app.ui.widgets.tag_fields import some_fields, tags_from, values_from
from triage_app.ui.widgets.what_if_answer import answer_html
from triage_app.ui.wiring import rulebook, services

_FIELDS: Mapping[Fact, tuple[str, ...]] = {
    Fact.DAMAGE: ("damage",),
    Fact.COMPONENT: ("component",),
    Fact.ZONE: ("zone",),
    Fact.DISTANCE: ("distance_to_hv_mm", "distance_uncertainty_mm", "covers_off"),
    Fact.SIZE: ("length_mm", "width_mm", "depth_mm"),
    Fact.CONDUCTOR: ("hv_conductor_visible",),
    Fact.HANGS: ("hangs_free",),
}
# A supposed criterion needs words; they are never shown, since nothing is saved.
_SUPPOSED = MakerCriterion(text="supposed", document="supposed", document_date="supposed")


def what_if_panel(case: Case, finding: Finding) -> None:
    """Let a person change one fact of the finding in thought, and compare."""
    prefix = f"suppose-{finding.id}-{state.panel_round()}"
    with st.container(border=True, key="ub-what-if"):
        st.markdown(f"**{said.TITLE}**")
        st.caption(said.MEANS)
        facts = list(Fact)
        fact = st.selectbox(
            said.SUPPOSE,
            facts,
            index=0,
            key=f"{prefix}-fact",
            format_func=lambda one: one.value,
        )
        supposed = _supposed(fact, case, finding, prefix)
        if supposed is None:
            st.info(said.NOT_ENTERED)
        else:
            _compare(case, finding, supposed)
        st.button(said.RESET, key=f"{prefix}-reset", on_click=state.draw_panel_afresh)


def _compare(case: Case, finding: Finding, supposed: Supposition) -> None:
    try:
        answer = services().triage.what_if_case(case, [supposed])
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    st.html(answer_html(case, finding, answer))


def _supposed(fact: Fact, case: Case, finding: Finding, prefix: str) -> Supposition | None:
    """Draw what belongs to this fact and return what it supposes; None while nothing differs."""
    draw: Mapping[Fact, Callable[[], Supposition | None]] = {
        Fact.TEST: lambda: _test(case, finding, prefix),
        Fact.REPLACED: lambda: SupposeEvidence(
            finding_id=finding.id, entry=EvidenceEntry(kind=EvidenceKind.PART_REPLACED)
        ),
        Fact.CAR: lambda: _car(case, prefix),
    }
    return draw[fact]() if fact in draw else _tags(fact, finding, prefix)


def _tags(fact: Fact, finding: Finding, prefix: str) -> Supposition | None:
    if fact is Fact.DISTANCE:
        st.caption(said.NEEDS_THREE)
    values = values_from(finding.tags)
    entered = some_fields(f"{prefix}-{fact.name}", values, _FIELDS[fact])
    if entered == values:
        return None
    return SupposeFinding(finding_id=finding.id, tags=tags_from(entered))


def _test(case: Case, finding: Finding, prefix: str) -> Supposition | None:
    asked = services().triage.assess_case(case).of(finding.id).open_tests
    tests = [test.id for test in asked]
    if not tests:
        st.caption(evidence_text.NO_TEST)
        return None
    test = st.selectbox(
        said.TEST,
        tests,
        key=f"{prefix}-test",
        format_func=lambda one: rulebook().open_tests[one].text,
    )
    outcome = st.radio(
        said.OUTCOME,
        list(TestOutcome),
        key=f"{prefix}-outcome",
        format_func=evidence_text.OUTCOMES.__getitem__,
        horizontal=True,
    )
    has_criterion = st.checkbox(said.CRITERION, value=True, key=f"{prefix}-criterion")
    entry = EvidenceEntry(
        kind=EvidenceKind.TEST_RESULT,
        test=test,
        outcome=outcome,
        criterion=_SUPPOSED if has_criterion else None,
    )
    return SupposeEvidence(finding_id=finding.id, entry=entry)


def _car(case: Case, prefix: str) -> Supposition | None:
    drives = list(Powertrain)
    drive = st.selectbox(
        text.POWERTRAIN,
        drives,
        index=drives.index(case.vehicle.powertrain),
        key=f"{prefix}-drive",
        format_func=lambda one: one.value,
    )
    volts = st.number_input(
        said.VOLTAGE,
        value=case.vehicle.system_voltage_v,
        min_value=0.0,
        step=1.0,
        format="%.0f",
        key=f"{prefix}-volts",
    )
    if (drive, volts) == (case.vehicle.powertrain, case.vehicle.system_voltage_v):
        return None
    try:
        vehicle = replace(case.vehicle, powertrain=drive, system_voltage_v=volts)
    except TriageError as error:
        st.error(as_typed(str(error)))
        return None
    return SupposeVehicle(vehicle=vehicle)
