"""Records of evidence: who may accept, what is refused, and that nothing on record is lost."""

from dataclasses import replace
from datetime import timedelta

import pytest

from rules import TestOutcome
from tests.builders import (
    A_REPLACED_PART,
    AN_INSTRUMENT,
    ESTIMATOR,
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
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand, TagFinding, WithdrawFinding
from triage_app.domain.errors import (
    InvalidInputError,
    NotAllowedError,
    NotFoundError,
    StaleCaseError,
)
from triage_app.domain.evidence import EvidenceRecord, Instruction, Instrument, SeenFinding, Verdict
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
)
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed

E1, F1 = EvidenceId("E1"), FindingId("F1")
BY_SENIOR = Signed(by=SENIOR.name, at=NOON)
MET = a_test()
ACCEPT = AcceptEvidence(record_id=E1)
DECLINE = DeclineEvidence(record_id=E1, reason="The probe slipped.")
WITHDRAW = WithdrawEvidence(record_id=E1, reason="Another car's sheet.")


def with_record(record: RecordEvidence | None = None) -> Case:
    return (record or record_of(MET, a_finding())).apply(a_case(a_finding()), SIGNED)


def the_record(case: Case) -> EvidenceRecord:
    return case.evidence_record(E1)


def done(case: Case, *commands: AnyCommand) -> Case:
    for command in commands:
        case = command.apply(case, BY_SENIOR)
    return case


def test_a_record_says_who_put_it_there_and_waits() -> None:
    record = the_record(with_record())
    assert (record.number, record.recorded, record.entry) == (1, SIGNED, MET)
    assert record.seen == (SeenFinding(finding_id=F1, revision=1),)
    assert record.is_waiting


def test_another_named_person_accepts() -> None:
    accepted = the_record(done(with_record(), ACCEPT)).decided(Verdict.ACCEPTED)
    assert accepted is not None
    assert accepted.signed == BY_SENIOR


@pytest.mark.parametrize(
    "name", [ESTIMATOR.name, "erin  ESTIMATOR", "Estimator, Erin", "Érin Estimator"]
)
@pytest.mark.parametrize("command", [ACCEPT, DECLINE], ids=["accept", "decline"])
def test_nobody_decides_on_their_own_record(name: str, command: AnyCommand) -> None:
    with pytest.raises(NotAllowedError, match=r"Erin Estimator put record 1 .* another named"):
        command.apply(with_record(), Signed(by=name, at=NOON))


@pytest.mark.parametrize(
    "commands",
    [
        pytest.param((ACCEPT,), id="accepted"),
        pytest.param((DECLINE,), id="declined"),
        pytest.param((WITHDRAW,), id="withdrawn"),
        pytest.param((ACCEPT, WITHDRAW), id="accepted, withdrawn"),
    ],
)
def test_a_repeat_changes_nothing(commands: tuple[AnyCommand, ...]) -> None:
    case = done(with_record(), *commands)
    assert commands[-1].apply(case, BY_SENIOR) is case
    assert record_of(MET, a_finding()).apply(case, SIGNED) is case


@pytest.mark.parametrize(
    ("first", "then", "said"),
    [
        pytest.param(DECLINE, ACCEPT, "declined by Sam Senior because: The probe slipped. Record"),
        pytest.param(ACCEPT, DECLINE, r"accepted by Sam Senior\. Withdraw it with a reason"),
        pytest.param(WITHDRAW, ACCEPT, "withdrawn by Sam Senior because: Another car's sheet. R"),
        pytest.param(WITHDRAW, DECLINE, "withdrawn by Sam Senior"),
    ],
)
def test_what_was_decided_is_not_decided_again(
    first: AnyCommand, then: AnyCommand, said: str
) -> None:
    case = done(with_record(), first)
    with pytest.raises(InvalidInputError, match=said):
        then.apply(case, BY_SENIOR)


def test_an_accepted_record_is_withdrawn_with_a_reason_and_both_stay() -> None:
    record = the_record(done(with_record(), ACCEPT, WITHDRAW))
    assert [one.verdict for one in record.decisions] == [Verdict.ACCEPTED, Verdict.WITHDRAWN]
    assert record.decisions[-1].reason == "Another car's sheet."
    assert not record.is_accepted


@pytest.mark.parametrize("command", [DECLINE, WITHDRAW], ids=["decline", "withdraw"])
def test_no_reason_no_decision(command: DeclineEvidence | WithdrawEvidence) -> None:
    with pytest.raises(InvalidInputError, match="Say why"):
        replace(command, reason=" ").apply(with_record(), BY_SENIOR)


def test_a_record_that_is_not_there_is_not_found() -> None:
    for command in (ACCEPT, DECLINE, WITHDRAW):
        with pytest.raises(NotFoundError, match="no record of evidence E1"):
            command.apply(a_case(a_finding()), BY_SENIOR)


def test_two_people_who_record_at_once_both_keep_theirs() -> None:
    case = with_record()
    case = record_of(a_test("hv_circuit"), a_finding(), record_id="E2").apply(case, BY_SENIOR)
    assert [(one.id, one.number) for one in case.evidence] == [("E1", 1), ("E2", 2)]


def test_a_result_for_a_finding_that_was_changed_meanwhile_is_kept_and_not_accepted() -> None:
    tag = TagFinding(finding_id=F1, tags=some_tags(note="longer"), expected_revision=1)
    case = record_of(MET, a_finding()).apply(done(a_case(a_finding()), tag), SIGNED)
    with pytest.raises(StaleCaseError, match="changed since"):
        ACCEPT.apply(case, BY_SENIOR)


def test_a_bad_result_is_accepted_even_if_the_finding_was_changed_meanwhile() -> None:
    tag = TagFinding(finding_id=F1, tags=some_tags(note="longer"), expected_revision=1)
    bad = record_of(a_test(outcome=TestOutcome.NOT_MET), a_finding())
    assert the_record(done(bad.apply(done(a_case(a_finding()), tag), SIGNED), ACCEPT)).is_accepted


def test_a_result_that_a_retest_superseded_is_not_accepted() -> None:
    retest = record_of(MET, a_finding(), record_id="E2", replaces="E1").apply(with_record(), SIGNED)
    case = AcceptEvidence(record_id=EvidenceId("E2")).apply(retest, BY_SENIOR)
    with pytest.raises(InvalidInputError, match="superseded"):
        ACCEPT.apply(case, BY_SENIOR)


@pytest.mark.parametrize(
    ("instrument", "said"),
    [
        pytest.param(None, "no instrument is named", id="none"),
        pytest.param(Instrument(name="Tester"), "until when the Tester", id="not known"),
        pytest.param(
            Instrument(name="Tester", calibration_due=NOON.date() - timedelta(days=1)),
            "had run out on 2031-05-03",
            id="ran out",
        ),
    ],
)
def test_a_value_is_met_only_with_an_instrument_in_calibration(
    instrument: Instrument | None, said: str
) -> None:
    met = a_test(value=2.5, instrument=instrument)
    with pytest.raises(InvalidInputError, match=said):
        ACCEPT.apply(with_record(record_of(met, a_finding())), BY_SENIOR)
    not_met = a_test(value=2.5, instrument=instrument, outcome=TestOutcome.NOT_MET)
    assert the_record(done(with_record(record_of(not_met, a_finding())), ACCEPT)).is_accepted


def test_an_instrument_is_good_on_the_day_its_calibration_ends() -> None:
    instrument = replace(AN_INSTRUMENT, calibration_due=NOON.date())
    met = record_of(a_test(value=2.5, instrument=instrument), a_finding())
    assert the_record(done(with_record(met), ACCEPT)).is_accepted


@pytest.mark.parametrize(
    "entry",
    [
        pytest.param(A_REPLACED_PART, id="part"),
        pytest.param(an_instruction(Instruction.REPAIR), id="word"),
    ],
)
def test_only_a_test_is_about_the_whole_car(entry: object) -> None:
    case = a_case(a_finding())
    with pytest.raises(InvalidInputError, match="Only a test can be about the whole car"):
        record_of(entry, whole_car=case).apply(case, SIGNED)  # type: ignore[arg-type]


def test_a_result_for_the_whole_car_is_bound_to_every_open_finding() -> None:
    case = a_case(a_finding(1), a_finding(2))
    case = record_of(MET, whole_car=case).apply(case, SIGNED)
    assert [one.finding_id for one in the_record(case).seen] == ["F1", "F2"]


def test_a_withdrawn_finding_takes_no_record() -> None:
    case = done(
        a_case(a_finding()),
        WithdrawFinding(finding_id=F1, reason="seen twice", expected_revision=1),
    )
    with pytest.raises(InvalidInputError, match="Finding 1 is withdrawn; restore it first"):
        record_of(MET, case.finding(F1)).apply(case, SIGNED)


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        pytest.param((("F1", 2),), "before it was so", id="from the future"),
        pytest.param((("F2", 1),), "bound to that finding", id="another finding"),
        pytest.param((("F1", 1), ("F2", 1)), "bound to that finding", id="two findings"),
        pytest.param((), "bound to that finding", id="none"),
    ],
)
def test_a_record_about_a_finding_is_bound_to_it_as_it_was_seen(
    seen: tuple[tuple[str, int], ...], said: str
) -> None:
    bound = tuple(SeenFinding(finding_id=FindingId(one), revision=at) for one, at in seen)
    command = replace(record_of(MET, a_finding()), seen=bound)
    with pytest.raises(InvalidInputError, match=said):
        command.apply(a_case(a_finding(1), a_finding(2)), SIGNED)


@pytest.mark.parametrize(
    "retest",
    [
        pytest.param(record_of(a_test("hv_circuit"), a_finding(1), record_id="E2"), id="test"),
        pytest.param(record_of(MET, a_finding(2), record_id="E2"), id="finding"),
        pytest.param(record_of(A_REPLACED_PART, a_finding(1), record_id="E2"), id="kind"),
    ],
)
def test_a_retest_repeats_the_same_test_of_the_same_finding(retest: RecordEvidence) -> None:
    case = record_of(MET, a_finding(1)).apply(a_case(a_finding(1), a_finding(2)), SIGNED)
    with pytest.raises(InvalidInputError, match="record 1 is about another"):
        replace(retest, replaces=E1).apply(case, SIGNED)
