"""The make-safe record through the services: a whole one, every kind of refusal, two at once."""

import threading
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import ESTIMATOR, NO_SIGNS, NOON, SENIOR, an_estimator, some_tags
from tests.safing_records import (
    GLOVES,
    SMALL_LAYOUT,
    a_reading,
    a_step,
    a_temperature,
    whole_record,
    with_photo_taken,
)
from tests.unit.services.shop import RULEBOOK, TestClock, a_shop
from triage_app.domain.admission.entries import Verdict
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError, TriageError
from triage_app.domain.ids import CaseId, SafingId
from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import Happened, Happening, LayoutChosen, StepDone
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.state import SafingState
from triage_app.domain.safing.steps import Step
from triage_app.domain.vehicle import Answer, Vehicle
from triage_app.services import Services
from triage_app.services.safing import Safing

RITA = an_estimator("Rita Recorder")
BATTERY = "unit:battery_output"


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def case(shop: Services) -> Case:
    opened = shop.intake.open_case(
        by=ESTIMATOR,
        reference="R-1",
        vehicle=Vehicle(system_voltage_v=400),
        incident=NO_SIGNS,
    )
    return shop.safing.record(opened.id, LayoutChosen(layout=SMALL_LAYOUT), by=RITA)


def made_safe(shop: Services, case: Case, clock: TestClock) -> Case:
    for what in whole_record([BATTERY]):
        clock.forward(timedelta(minutes=6))
        case = shop.safing.record(case.id, what, by=RITA)
    return case


def test_a_whole_record_stands_and_every_entry_is_in_the_journal(
    shop: Services, case: Case, clock: TestClock
) -> None:
    after = made_safe(shop, case, clock)
    found = shop.safing.status(after)
    assert found.state is SafingState.RECORDED
    assert found.covered == ("battery output",)
    kinds = [entry.kind for entry in shop.cases.journal(case.id)]
    assert kinds.count("make-safe step recorded") == 17
    assert kinds.count("test point read") == 2
    assert {entry.recorded.by for entry in after.safing} == {"Rita Recorder"}


def test_the_points_of_the_last_proof_are_those_of_the_case(
    shop: Services, case: Case, clock: TestClock
) -> None:
    *before, last = whole_record([BATTERY])
    for what in before:
        clock.forward(timedelta(minutes=6))
        shop.safing.record(case.id, what, by=RITA)
    shop.marking.add_finding(case.id, some_tags("hv_cable", "severed"), by=ESTIMATOR)
    with pytest.raises(InvalidInputError, match=r"first reading of .* is missing"):
        shop.safing.record(case.id, last, by=RITA)  # it claims the battery output alone


def test_a_severed_cable_found_later_voids_and_a_record_over_its_ends_stands(
    shop: Services, case: Case, clock: TestClock
) -> None:
    made_safe(shop, case, clock)
    after = shop.marking.add_finding(case.id, some_tags("hv_cable", "severed"), by=ESTIMATOR)
    assert shop.safing.status(after).state is SafingState.VOID
    clock.forward(timedelta(minutes=1))
    shop.safing.record(case.id, Happened(what=Happening.BEGIN_AGAIN), by=RITA)
    for what in whole_record(point.id for point in shop.safing.points(after)):
        clock.forward(timedelta(minutes=6))
        after = shop.safing.record(case.id, what, by=RITA)
    assert len(shop.safing.status(after).covered) == 3


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (a_step(Step.KEY_AWAY), "comes after 'maker's procedure'"),
        (a_reading("unit:nowhere"), "no test point 'unit:nowhere'"),
        (a_reading(BATTERY), "Before a point is read, 'maker's procedure' is recorded"),
        (
            IsolationMeasurement(
                island="the moon",
                working_v=400,
                positive_ohm=1e6,
                negative_ohm=1e6,
                test_v=500,
                instrument="tester",
                procedure="manual",
            ),
            "no island 'the moon'. Isolation is measured per island: the high-voltage bus",
        ),
    ],
)
def test_a_refusal_says_what_is_missing_and_stores_nothing(
    shop: Services, case: Case, what: StepDone, said: str
) -> None:
    with pytest.raises(InvalidInputError, match=said):
        shop.safing.record(case.id, what, by=RITA)
    assert shop.cases.get(case.id) == case


def test_a_case_that_is_not_there_is_refused(shop: Services) -> None:
    with pytest.raises(NotFoundError):
        shop.safing.record(CaseId("none"), a_temperature(20), by=RITA)


def test_the_reader_cannot_record_their_own_protection(
    shop: Services, case: Case, clock: TestClock
) -> None:
    at = next(i for i, w in enumerate(whole_record([])) if getattr(w, "protection", None))
    for what in whole_record([])[:at]:
        clock.forward(timedelta(minutes=1))
        shop.safing.record(case.id, what, by=RITA)
    with pytest.raises(InvalidInputError, match="a second person is present"):
        shop.safing.record(case.id, a_step(Step.PROTECTION), by=an_estimator(GLOVES.reader))


def test_a_clock_that_was_moved_back_is_refused_and_said(
    shop: Services, case: Case, clock: TestClock
) -> None:
    clock.forward(timedelta(hours=1))
    shop.safing.record(case.id, a_step(Step.MAKER_PROCEDURE), by=RITA)
    clock.forward(timedelta(minutes=-30))
    with pytest.raises(InvalidInputError, match="the clock was moved back"):
        shop.safing.record(case.id, a_step(Step.AREA_BARRED), by=RITA)
    again = shop.safing.record(case.id, Happened(what=Happening.BEGIN_AGAIN), by=RITA)
    assert shop.safing.status(again).state is SafingState.NOT_RECORDED
    begun = shop.safing.record(case.id, a_step(Step.MAKER_PROCEDURE), by=RITA)
    assert shop.safing.status(begun).next_step is Step.AREA_BARRED


def test_two_people_who_record_the_same_step_at_once_keep_one_and_are_told(
    shop: Services, case: Case
) -> None:
    answers: list[str] = []

    def record(name: str) -> None:
        try:
            shop.safing.record(case.id, a_step(Step.MAKER_PROCEDURE), by=an_estimator(name))
            answers.append("kept")
        except StaleCaseError as error:
            answers.append(str(error))

    both = [threading.Thread(target=record, args=(name,)) for name in ("Ann One", "Bob Two")]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(answers)[1] == "kept"
    assert "has recorded 'maker's procedure' already" in sorted(answers)[0]
    assert len(shop.cases.get(case.id).safing) == 2


def test_two_people_who_record_different_things_lose_nothing(shop: Services, case: Case) -> None:
    shop.safing.record(case.id, a_temperature(20), by=an_estimator("Ann One"))
    after = shop.safing.record(case.id, a_step(Step.MAKER_PROCEDURE), by=an_estimator("Bob Two"))
    assert [entry.recorded.by for entry in after.safing[1:]] == ["Ann One", "Bob Two"]


def test_a_repeat_of_the_same_entry_is_harmless(shop: Services, case: Case) -> None:
    once = SafingId("once")
    first, second = (
        shop.safing.record(case.id, a_temperature(20), by=RITA, entry_id=once) for _ in range(2)
    )
    assert (len(first.safing), second) == (2, first)


def test_a_shop_may_ask_for_more_time_between_two_readings(
    shop: Services, case: Case, clock: TestClock
) -> None:
    shop.safing = Safing(
        cases=shop.cases,
        clock=clock,
        new_id=lambda: f"at-{clock().timestamp():.0f}",
        rulebook=RULEBOOK,
        policy=SafingPolicy(between_turns=timedelta(minutes=10)),
    )
    with pytest.raises(InvalidInputError, match="at least 600 s have to pass"):
        made_safe(shop, case, clock)


@pytest.mark.parametrize("hours", [0, 9])
def test_a_record_never_stands_longer_than_a_shift(hours: int) -> None:
    with pytest.raises(TriageError, match="at most 8 h"):
        SafingPolicy(oldest=timedelta(hours=hours))


def test_photos_from_before_are_told_by_the_service(
    shop: Services, case: Case, clock: TestClock
) -> None:
    assert shop.safing.photos_before(case) == ()
    case = made_safe(shop, case, clock)
    later = case.safing[-1].done_at + timedelta(minutes=1)
    taken = with_photo_taken(case, later)
    assert shop.safing.status(taken).state is SafingState.RECORDED
    assert shop.safing.photos_before(taken) == ()
    assert shop.safing.photos_before(with_photo_taken(case, NOON)) != ()
    shop.safing.record(case.id, Happened(what=Happening.CHARGER_CONNECTED), by=RITA)
    void = with_photo_taken(shop.cases.get(case.id), later)
    assert shop.safing.status(void).state is SafingState.VOID
    assert shop.safing.photos_before(void) == void.photos
    assert shop.safing.watch(replace(case, safing=())).is_overdue(NOON)


def test_nobody_reaches_into_a_car_that_is_held_outside(
    shop: Services, case: Case, clock: TestClock
) -> None:
    record = whole_record([BATTERY])
    at_first = record.index(a_step(Step.DATA_SAVED))
    for what in record[:at_first]:
        clock.forward(timedelta(minutes=6))
        shop.safing.record(case.id, what, by=RITA)
    shop.admission.answer(case.id, "hissing", Answer.YES, by=RITA)
    with pytest.raises(InvalidInputError, match="held outside, unlifted"):
        shop.safing.record(case.id, record[at_first], by=RITA)
    # What keeps people away, or makes things stricter, is taken down all the same.
    shop.safing.record(case.id, a_temperature(21.0), by=RITA)
    status = shop.admission.status(shop.cases.get(case.id))
    why = "Air brake; heard it myself."
    shop.admission.decide(case.id, Verdict.ADMITTED, reason=why, seen=status.causes, by=SENIOR)
    shop.safing.record(case.id, record[at_first], by=RITA)
    shop.admission.answer(case.id, "odour", Answer.YES, by=RITA)
    after = shop.safing.record(case.id, Happened(what=Happening.WHEEL_TURNED), by=RITA)
    assert shop.safing.status(after).state is SafingState.VOID
