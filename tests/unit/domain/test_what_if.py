"""What if: as saving it would be, refusals included, and the case itself stays."""

import pytest

from rules import OpenTestId, Powertrain, TestOutcome
from tests.builders import (
    A_REPLACED_PART,
    NOON,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_test,
    an_instruction,
    record_of,
    some_tags,
)
from triage_app.domain.case import Case, Measures, Tags
from triage_app.domain.commands import WithdrawFinding
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.evidence_commands import AcceptEvidence, WithdrawEvidence
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Answer, Incident, Vehicle
from triage_app.domain.what_if import (
    SupposeAccepted,
    SupposeEvidence,
    SupposeFinding,
    SupposeIncident,
    SupposeVehicle,
    Supposition,
    suppose,
)

F1, E1 = FindingId("F1"), EvidenceId("E1")
MET, NOT_MET = a_test(), a_test(outcome=TestOutcome.NOT_MET)
CASE = a_case(a_finding(1), a_finding(2))


def with_record(*, accepted: bool, met: bool = True) -> Case:
    case = record_of(MET if met else NOT_MET, a_finding(1)).apply(CASE, SIGNED)
    if accepted:
        case = AcceptEvidence(record_id=E1).apply(case, Signed(by=SENIOR.name, at=NOON))
    return case


def counted(case: Case) -> list[tuple[str | None, OpenTestId | None, TestOutcome | None]]:
    return [(one.finding_id, one.test, one.outcome) for one in case_facts(case).evidence]


def test_a_finding_is_as_if_tagged_otherwise_and_the_others_stay() -> None:
    tags = some_tags("skid_plate", "dent", measures=Measures(distance_to_hv_mm=250))
    facts = case_facts(suppose(CASE, [SupposeFinding(finding_id=F1, tags=tags)]))
    assert (facts.findings[0].damage, facts.findings[0].distance_to_hv_mm) == ("dent", 250)
    assert facts.findings[1] == case_facts(CASE).findings[1]
    assert a_case(a_finding(1), a_finding(2)) == CASE


def test_the_voltage_and_the_drive_are_as_if_written_down() -> None:
    mild = Vehicle(system_voltage_v=48, powertrain=Powertrain.MILD_HYBRID_48V)
    facts = case_facts(suppose(CASE, [SupposeVehicle(vehicle=mild)])).vehicle
    assert (facts.system_voltage_v, facts.powertrain) == (48, Powertrain.MILD_HYBRID_48V)


def test_a_sign_is_as_if_seen() -> None:
    supposed = SupposeIncident(incident=Incident(smoke=Answer.YES))
    assert case_facts(suppose(CASE, [supposed])).vehicle.signs["smoke"] is True


def test_a_result_counts_as_if_accepted() -> None:
    supposed = [SupposeEvidence(finding_id=F1, entry=MET)]
    assert counted(suppose(CASE, supposed)) == [("F1", "isolation_resistance", "criterion met")]
    whole = [SupposeEvidence(finding_id=None, entry=NOT_MET)]
    assert counted(suppose(CASE, whole)) == [(None, "isolation_resistance", "criterion not met")]


def test_a_supposed_result_is_a_retest_of_the_one_on_record() -> None:
    supposed = [SupposeEvidence(finding_id=F1, entry=MET)]
    case = suppose(with_record(accepted=True, met=False), supposed)
    assert counted(case) == [("F1", "isolation_resistance", "criterion met")]


def test_a_supposed_result_passes_over_a_withdrawn_one_to_the_one_that_counts() -> None:
    case = with_record(accepted=True, met=False)
    case = record_of(NOT_MET, a_finding(1), record_id="E2").apply(case, SIGNED)
    withdraw = WithdrawEvidence(record_id=EvidenceId("E2"), reason="another car")
    case = suppose(withdraw.apply(case, SIGNED), [SupposeEvidence(finding_id=F1, entry=MET)])
    assert counted(case) == [("F1", "isolation_resistance", "criterion met")]


def test_several_results_can_be_supposed() -> None:
    supposed = [
        SupposeEvidence(finding_id=F1, entry=A_REPLACED_PART),
        SupposeEvidence(finding_id=F1, entry=MET),
        SupposeEvidence(finding_id=F1, entry=a_test("hv_circuit")),
    ]
    assert len(counted(suppose(CASE, supposed))) == 3


def test_a_waiting_record_counts_as_if_accepted() -> None:
    case = with_record(accepted=False)
    assert counted(case) == []
    assert counted(suppose(case, [SupposeAccepted(record_id=E1)])) == [
        ("F1", "isolation_resistance", "criterion met")
    ]


def test_a_finding_supposed_otherwise_loses_its_good_record_as_saving_it_would() -> None:
    supposed = [SupposeFinding(finding_id=F1, tags=some_tags(note="longer"))]
    assert counted(suppose(with_record(accepted=True), supposed)) == []


@pytest.mark.parametrize("turned", [False, True], ids=["finding first", "result first"])
def test_a_supposed_result_is_about_the_finding_as_supposed(*, turned: bool) -> None:
    supposed: list[Supposition] = [
        SupposeFinding(finding_id=F1, tags=some_tags(note="longer")),
        SupposeEvidence(finding_id=F1, entry=MET),
    ]
    case = suppose(CASE, list(reversed(supposed)) if turned else supposed)
    assert counted(case) == [("F1", "isolation_resistance", "criterion met")]


WITHDRAWN = WithdrawFinding(finding_id=F1, reason="x", expected_revision=1).apply(CASE, SIGNED)


@pytest.mark.parametrize(
    ("case", "supposed", "said"),
    [
        pytest.param(
            CASE,
            SupposeFinding(finding_id=FindingId("F9"), tags=some_tags()),
            "no finding F9",
            id="no such finding",
        ),
        pytest.param(
            WITHDRAWN,
            SupposeFinding(finding_id=F1, tags=some_tags("skid_plate")),
            "is withdrawn",
            id="withdrawn",
        ),
        pytest.param(CASE, SupposeFinding(finding_id=F1, tags=Tags()), "keeps a name", id="blank"),
        pytest.param(
            CASE,
            SupposeEvidence(finding_id=None, entry=an_instruction()),
            "Only a test",
            id="instruction for the car",
        ),
        pytest.param(
            CASE,
            SupposeEvidence(finding_id=F1, entry=a_test(value=3.0)),
            "no instrument is named",
            id="unfit instrument",
        ),
        pytest.param(CASE, SupposeAccepted(record_id=E1), "no record of evidence", id="no record"),
    ],
)
def test_what_saving_would_refuse_is_refused(case: Case, supposed: Supposition, said: str) -> None:
    with pytest.raises((InvalidInputError, NotFoundError), match=said):
        suppose(case, [supposed])
