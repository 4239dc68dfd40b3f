"""What of the records reaches the rules: only what is accepted, current and beyond doubt."""

from dataclasses import replace
from typing import Any

import pytest

from rules import Disposition, Evidence, EvidenceKind, Powertrain, TestOutcome
from tests.builders import (
    A_REPLACED_PART,
    NOON,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_mark,
    a_test,
    an_instruction,
    record_of,
    some_tags,
)
from triage_app.domain.case import Case
from triage_app.domain.commands import (
    AddFinding,
    AddMark,
    AnyCommand,
    DescribeVehicle,
    ReshapeMark,
    RestoreFinding,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.errors import StaleCaseError
from triage_app.domain.evidence import EvidenceEntry, Instruction
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
)
from triage_app.domain.evidence_standing import Standing, changed_findings, standing_of
from triage_app.domain.findings import case_facts
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import EvidenceId, FindingId, MarkId
from triage_app.domain.signed import Signed

F1 = FindingId("F1")
MET, NOT_MET = a_test(), a_test(outcome=TestOutcome.NOT_MET)
WORD = an_instruction(Instruction.REPLACE)
BY_SENIOR = Signed(by=SENIOR.name, at=NOON)


def accept(record_id: str = "E1") -> AcceptEvidence:
    return AcceptEvidence(record_id=EvidenceId(record_id))


def decline(record_id: str) -> DeclineEvidence:
    return DeclineEvidence(record_id=EvidenceId(record_id), reason="Wrong car.")


def withdraw(record_id: str) -> WithdrawEvidence:
    return WithdrawEvidence(record_id=EvidenceId(record_id), reason="Wrong car.")


def on_one(
    entry: EvidenceEntry, record_id: str = "E1", *, replaces: str | None = None
) -> RecordEvidence:
    return record_of(entry, a_finding(), record_id=record_id, replaces=replaces)


def after(*commands: AnyCommand, case: Case | None = None) -> Case:
    case = case or a_case(a_finding())
    for command in commands:
        signed = SIGNED if isinstance(command, RecordEvidence) else BY_SENIOR
        case = command.apply(case, signed)
    return case


def standing(case: Case, record_id: str = "E1") -> Standing:
    return standing_of(case, case.evidence_record(EvidenceId(record_id)))


def counted(case: Case) -> list[tuple[str, str | None]]:
    return [(one.id, one.finding_id) for one in case_facts(case).evidence]


TAG = TagFinding(finding_id=F1, tags=some_tags(note="longer"), expected_revision=1)
CHANGES: list[tuple[str, list[AnyCommand]]] = [
    ("tagged", [TAG]),
    ("reshaped", [ReshapeMark(mark_id=MarkId("M1"), outline=rectangle(0, 0, 0.5, 0.5),
                              expected_revision=1)]),
    ("marked", [AddMark(finding_id=F1, mark_id=MarkId("M9"), photo_id=a_mark().photo_id,
                        outline=rectangle(0, 0, 0.5, 0.5))]),
    ("withdrawn", [WithdrawFinding(finding_id=F1, reason="x", expected_revision=1)]),
    ("restored", [WithdrawFinding(finding_id=F1, reason="x", expected_revision=1),
                  RestoreFinding(finding_id=F1)]),
]  # fmt: skip
changes = pytest.mark.parametrize(
    "change", [each for _, each in CHANGES], ids=[name for name, _ in CHANGES]
)


def test_an_accepted_record_reaches_the_rules_as_it_is() -> None:
    assert case_facts(after(on_one(MET), accept())).evidence == (
        Evidence(
            id="E1",
            kind=EvidenceKind.TEST_RESULT,
            finding_id="F1",
            test=MET.test,
            outcome=TestOutcome.MET,
            has_criterion=True,
        ),
    )


def test_a_result_without_the_makers_criterion_says_so() -> None:
    case = after(on_one(a_test(criterion=None)), accept())
    assert [one.has_criterion for one in case_facts(case).evidence] == [False]


def test_an_instruction_reaches_the_rules_with_its_word() -> None:
    case = after(on_one(WORD), accept())
    assert [one.instruction for one in case_facts(case).evidence] == [Disposition.REPLACE]


@pytest.mark.parametrize(
    ("commands", "expected"),
    [
        pytest.param((on_one(MET),), Standing.WAITING, id="nobody decided"),
        pytest.param((on_one(NOT_MET),), Standing.WAITING, id="bad, nobody decided"),
        pytest.param((on_one(MET), decline("E1")), Standing.DECLINED, id="declined"),
        pytest.param((on_one(MET), withdraw("E1")), Standing.WITHDRAWN, id="withdrawn"),
        pytest.param((on_one(MET), accept(), withdraw("E1")), Standing.WITHDRAWN, id="later"),
    ],
)
def test_what_nobody_accepted_counts_for_nothing(
    commands: tuple[AnyCommand, ...], expected: Standing
) -> None:
    case = after(*commands)
    assert standing(case) is expected
    assert counted(case) == []


@changes
@pytest.mark.parametrize(
    "entry",
    [
        pytest.param(MET, id="met"),
        pytest.param(A_REPLACED_PART, id="part"),
    ],
)
def test_a_finding_changed_since_makes_a_good_record_not_current(
    entry: EvidenceEntry, change: list[AnyCommand]
) -> None:
    case = after(on_one(entry), accept(), *change)
    assert standing(case) is Standing.NOT_CURRENT
    assert counted(case) == []


@changes
@pytest.mark.parametrize(
    "entry",
    [
        pytest.param(NOT_MET, id="not met"),
        pytest.param(WORD, id="maker says replace"),
        pytest.param(an_instruction(Instruction.REPAIR), id="maker says repair"),
    ],
)
def test_a_bad_record_is_not_shaken_off_by_changing_the_finding(
    entry: EvidenceEntry, change: list[AnyCommand]
) -> None:
    case = after(on_one(entry), accept(), *change)
    assert standing(case) is Standing.COUNTS
    assert counted(case) == [("E1", "F1")]


def test_a_retest_takes_the_place_once_it_is_accepted() -> None:
    case = after(on_one(NOT_MET), accept(), on_one(MET, "E2", replaces="E1"))
    assert (standing(case), standing(case, "E2")) == (Standing.COUNTS, Standing.WAITING)
    case = after(accept("E2"), case=case)
    assert (standing(case), standing(case, "E2")) == (Standing.SUPERSEDED, Standing.COUNTS)
    assert counted(case) == [("E2", "F1")]
    assert len(case.evidence) == 2


def test_a_good_result_is_on_hold_while_its_retest_waits() -> None:
    case = after(on_one(MET), accept(), on_one(MET, "E2", replaces="E1"))
    assert standing(case) is Standing.ON_HOLD
    assert counted(case) == []


def test_a_good_result_that_nobody_accepted_waits_whatever_else_waits() -> None:
    case = after(on_one(MET), on_one(NOT_MET, "E2"), on_one(MET, "E3", replaces="E1"))
    assert standing(case) is Standing.WAITING


@pytest.mark.parametrize("ends", [decline("E2"), withdraw("E2")], ids=["declined", "withdrawn"])
@pytest.mark.parametrize("first", [MET, NOT_MET], ids=["met", "not met"])
def test_a_retest_that_came_to_nothing_leaves_the_first_result(
    first: EvidenceEntry, ends: AnyCommand
) -> None:
    case = after(on_one(first), accept(), on_one(MET, "E2", replaces="E1"), ends)
    assert standing(case) is Standing.COUNTS


def test_a_chain_of_retests_ends_with_the_last_accepted_one() -> None:
    case = after(
        on_one(MET),
        accept(),
        on_one(NOT_MET, "E2", replaces="E1"),
        on_one(MET, "E3", replaces="E2"),
        accept("E3"),
    )
    assert counted(case) == [("E3", "F1")]
    assert standing(case, "E2") is Standing.SUPERSEDED


@pytest.mark.parametrize(
    ("other", "on_hold"),
    [
        pytest.param(on_one(NOT_MET, "E2"), True, id="same test not met"),
        pytest.param(
            record_of(NOT_MET, whole_car=a_case(a_finding()), record_id="E2"), True, id="whole car"
        ),
        pytest.param(on_one(MET, "E2"), False, id="same test met again"),
        pytest.param(
            on_one(a_test("hv_circuit", TestOutcome.NOT_MET), "E2"), False, id="another test"
        ),
        pytest.param(record_of(NOT_MET, a_finding(2), record_id="E2"), False, id="elsewhere"),
    ],
)
def test_a_worse_result_of_the_same_test_puts_a_good_one_on_hold_at_once(
    other: RecordEvidence, *, on_hold: bool
) -> None:
    case = after(on_one(MET), accept(), other, case=a_case(a_finding(), a_finding(2)))
    assert standing(case) is (Standing.ON_HOLD if on_hold else Standing.COUNTS)


def test_a_worse_result_that_was_declined_lets_the_good_one_count() -> None:
    case = after(on_one(MET), accept(), on_one(NOT_MET, "E2"), decline("E2"))
    assert counted(case) == [("E1", "F1")]


def test_a_good_result_for_the_whole_car_does_not_speak_of_damage_found_later() -> None:
    first = a_case(a_finding(1), a_finding(2))
    case = after(record_of(MET, whole_car=first), accept(), case=first)
    assert counted(case) == [("E1", None)]
    later = AddFinding(finding_id=FindingId("F3"), tags=some_tags())
    case = after(later, replace(TAG, finding_id=FindingId("F2")), case=case)
    assert standing(case) is Standing.COUNTS
    assert counted(case) == [("E1@F1", "F1")]
    record = case.evidence_record(EvidenceId("E1"))
    assert [finding.number for finding in changed_findings(case, record)] == [2, 3]
    case = after(TAG, case=case)
    assert standing(case) is Standing.NOT_CURRENT


def test_a_bad_result_for_the_whole_car_speaks_of_damage_found_later_too() -> None:
    first = a_case(a_finding(1))
    later = AddFinding(finding_id=FindingId("F3"), tags=some_tags())
    case = after(record_of(NOT_MET, whole_car=first), accept(), TAG, later, case=first)
    assert counted(case) == [("E1", None)]


@pytest.mark.parametrize(
    "car",
    [
        pytest.param({"system_voltage_v": 800.0}, id="another voltage"),
        pytest.param({"system_voltage_v": None}, id="voltage not known"),
        pytest.param({"powertrain": Powertrain.PLUG_IN_HYBRID}, id="another kind of drive"),
    ],
)
@pytest.mark.parametrize("scope", ["one finding", "the whole car"])
def test_a_good_result_holds_only_for_the_car_that_its_author_knew(
    car: dict[str, Any], scope: str
) -> None:
    # Judgement: limits per volt (UN R100, 5.1.3) make the criterion another one with the voltage.
    case = a_case(a_finding())
    record = on_one(MET) if scope == "one finding" else record_of(MET, whole_car=case)
    before = after(record, accept(), case=case)
    other = after(DescribeVehicle(vehicle=replace(before.vehicle, **car)), case=before)
    assert standing(before) is Standing.COUNTS
    assert standing(other) is Standing.NOT_CURRENT
    assert counted(other) == []


def test_a_bad_result_and_the_makers_word_count_for_any_voltage() -> None:
    before = after(on_one(NOT_MET), accept(), on_one(WORD, "E2"), accept("E2"))
    car = replace(before.vehicle, system_voltage_v=800.0)
    assert counted(after(DescribeVehicle(vehicle=car), case=before)) == counted(before)


def test_what_a_criterion_does_not_depend_on_may_be_written_down_later() -> None:
    before = after(on_one(MET), accept())
    car = replace(before.vehicle, plate="INV 1", odometer_km=12.0)
    assert standing(after(DescribeVehicle(vehicle=car), case=before)) is Standing.COUNTS


def test_a_waiting_good_result_is_refused_once_the_voltage_is_another() -> None:
    case = after(on_one(MET))
    car = DescribeVehicle(vehicle=replace(case.vehicle, system_voltage_v=800.0))
    with pytest.raises(StaleCaseError, match="voltage or kind of drive"):
        after(car, accept(), case=case)
