"""Records of evidence through the services: a second person, a changed finding, a residual."""

import threading
from dataclasses import replace
from datetime import timedelta

import pytest

from rules import OpenTestId, TestOutcome
from tests.builders import (
    A_REPLACED_PART,
    AN_INSTRUMENT,
    ESTIMATOR,
    SENIOR,
    a_test,
    an_estimator,
    some_tags,
)
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StaleCaseError
from triage_app.domain.evidence_standing import Standing, standing_of
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Operator
from triage_app.services import Services

F1, E1 = FindingId("F1"), EvidenceId("E1")


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def case(shop: Services) -> Case:
    opened = shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    return shop.marking.add_finding(
        opened.id, some_tags("coolant_hose", "crack"), by=ESTIMATOR, finding_id=F1
    )


def kinds(shop: Services, case: Case) -> list[str]:
    return [f"{entry.signed.by}: {entry.kind}" for entry in shop.cases.journal(case.id)]


def test_recorded_and_accepted_it_makes_a_second_answer_and_leaves_the_first(
    shop: Services, case: Case, clock: TestClock
) -> None:
    before = shop.triage.assess(case.id, by=ESTIMATOR).of(F1)
    entry = a_test("coolant_hold", value=0.0, instrument=AN_INSTRUMENT)
    shop.evidence.record(case, entry, by=ESTIMATOR, finding_id=F1, record_id=E1)
    assert shop.triage.assess(case.id, by=ESTIMATOR).of(F1) == before
    clock.forward(timedelta(hours=1))
    after = shop.evidence.accept(case.id, E1, by=SENIOR)
    answer = shop.triage.assess_case(after).of(F1)
    assert answer.residual is not None
    assert (answer.risk, answer.hv_flag, answer.disposition, answer.reasons) == (
        before.risk,
        before.hv_flag,
        before.disposition,
        before.reasons,
    )
    accepted = after.evidence[0].decisions[0].signed
    assert (accepted.by, accepted.at) == (SENIOR.name, clock.now)
    assert kinds(shop, case)[-2:] == [
        "Erin Estimator: evidence recorded",
        "Sam Senior: evidence accepted",
    ]


def test_accepting_again_and_recording_again_write_nothing(shop: Services, case: Case) -> None:
    for _ in range(2):
        shop.evidence.record(case, a_test(), by=ESTIMATOR, finding_id=F1, record_id=E1)
    for _ in range(2):
        shop.evidence.accept(case.id, E1, by=SENIOR)
    assert kinds(shop, case)[-2:] == [
        "Erin Estimator: evidence recorded",
        "Sam Senior: evidence accepted",
    ]
    assert shop.cases.get(case.id).revision == case.revision + 2


def test_whoever_recorded_it_does_not_accept_it(shop: Services, case: Case) -> None:
    shop.evidence.record(case, a_test(), by=ESTIMATOR, finding_id=F1, record_id=E1)
    with pytest.raises(NotAllowedError, match="another named person"):
        shop.evidence.accept(case.id, E1, by=replace(SENIOR, name="erin estimator"))
    assert shop.cases.get(case.id).revision == case.revision + 1


def test_a_finding_changed_since_the_screen_was_drawn_loses_no_result(
    shop: Services, case: Case
) -> None:
    shop.marking.tag(case.id, F1, some_tags("coolant_hose", "leak"), expected_revision=1, by=SENIOR)
    after = shop.evidence.record(case, a_test(), by=ESTIMATOR, finding_id=F1, record_id=E1)
    assert standing_of(after, after.evidence[0]) is Standing.NOT_CURRENT
    with pytest.raises(StaleCaseError):
        shop.evidence.accept(case.id, E1, by=SENIOR)


def test_a_finding_changed_after_acceptance_gives_its_residual_up(
    shop: Services, case: Case
) -> None:
    shop.evidence.record(case, a_test("coolant_hold"), by=ESTIMATOR, finding_id=F1, record_id=E1)
    shop.evidence.accept(case.id, E1, by=SENIOR)
    assert shop.triage.assess(case.id, by=ESTIMATOR).of(F1).residual is not None
    shop.marking.tag(case.id, F1, some_tags("coolant_hose", "leak"), expected_revision=1, by=SENIOR)
    assert shop.triage.assess(case.id, by=ESTIMATOR).of(F1).residual is None


def test_declined_and_withdrawn_records_stay_with_their_reasons(shop: Services, case: Case) -> None:
    shop.evidence.record(case, a_test(), by=ESTIMATOR, finding_id=F1, record_id=E1)
    shop.evidence.record(
        case, A_REPLACED_PART, by=ESTIMATOR, finding_id=F1, record_id=EvidenceId("E2")
    )
    shop.evidence.decline(case.id, E1, reason="Wrong range.", by=SENIOR)
    after = shop.evidence.withdraw(
        case.id, EvidenceId("E2"), reason="Not fitted yet.", by=ESTIMATOR
    )
    assert [record.decisions[0].reason for record in after.evidence] == [
        "Wrong range.",
        "Not fitted yet.",
    ]


@pytest.mark.parametrize("what", ["decline", "withdraw"])
def test_no_reason_no_decision(shop: Services, case: Case, what: str) -> None:
    shop.evidence.record(case, a_test(), by=ESTIMATOR, finding_id=F1, record_id=E1)
    with pytest.raises(InvalidInputError, match="Give a reason"):
        getattr(shop.evidence, what)(case.id, E1, reason=" ", by=SENIOR)


@pytest.mark.parametrize(
    ("test", "record_id", "said"),
    [
        pytest.param("kick_the_tyres", "E1", "no test 'kick_the_tyres'", id="unknown test"),
        pytest.param("hv_circuit", "../E1", "identifier may hold only", id="bad id"),
    ],
)
def test_what_cannot_be_is_refused_and_not_stored(
    shop: Services, case: Case, test: str, record_id: str, said: str
) -> None:
    with pytest.raises(InvalidInputError, match=said):
        shop.evidence.record(
            case, a_test(OpenTestId(test)), by=ESTIMATOR, record_id=EvidenceId(record_id)
        )
    assert shop.cases.get(case.id).evidence == ()


def test_people_who_record_and_accept_at_once_lose_nothing(shop: Services, case: Case) -> None:
    people = [an_estimator(f"Person {letter}") for letter in "ABC"]
    ready = threading.Barrier(len(people))

    def work(person: Operator) -> None:
        ready.wait()
        for number in range(5):
            record_id = EvidenceId(f"{person.name[-1]}{number}")
            shop.evidence.record(case, a_test(), by=person, record_id=record_id)
            shop.evidence.accept(case.id, record_id, by=SENIOR)

    threads = [threading.Thread(target=work, args=(person,)) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    stored = shop.cases.get(case.id).evidence
    assert sorted(record.number for record in stored) == list(range(1, 16))
    assert all(record.is_accepted for record in stored)


def test_a_tests_outcome_not_met_is_never_lower_than_the_first_answer(
    shop: Services, case: Case
) -> None:
    shop.evidence.record(
        case,
        a_test("coolant_hold", TestOutcome.NOT_MET),
        by=ESTIMATOR,
        finding_id=F1,
        record_id=E1,
    )
    after = shop.evidence.accept(case.id, E1, by=SENIOR)
    answer = shop.triage.assess_case(after).of(F1)
    assert answer.residual is not None
    assert answer.residual.risk >= answer.risk


def test_what_raises_an_answer_is_not_withdrawn_by_just_anybody(shop: Services, case: Case) -> None:
    bad = a_test("isolation_resistance", TestOutcome.NOT_MET)
    other = an_estimator("Pat Person")
    for record_id in ("e1", "e2"):
        shop.evidence.record(case, bad, by=ESTIMATOR, record_id=EvidenceId(record_id))
    shop.evidence.accept(case.id, EvidenceId("e1"), by=SENIOR)
    for record_id, by in (("e1", ESTIMATOR), ("e1", other), ("e2", other)):
        with pytest.raises(NotAllowedError, match="accept or decline evidence"):
            shop.evidence.withdraw(case.id, EvidenceId(record_id), reason="no", by=by)
    shop.evidence.withdraw(case.id, EvidenceId("e2"), reason="typed twice", by=ESTIMATOR)
    shop.evidence.withdraw(case.id, EvidenceId("e1"), reason="clip was loose", by=SENIOR)
