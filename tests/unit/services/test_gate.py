"""The gate and the checklist through the services: stored, signed, in the journal, refused."""

from datetime import timedelta

import pytest

from rules import ComponentId, Quarantine, ZoneId
from tests.builders import ESTIMATOR, NO_SIGNS, NOON, SENIOR, a_jpeg
from tests.unit.services.shop import TestClock, a_shop
from triage_app.casefile.cases import case_from_json, case_to_json
from triage_app.domain.admission.entries import Verdict
from triage_app.domain.admission.status import AdmissionState
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.ids import AdmissionId, InspectionId
from triage_app.domain.inspection.entries import ExpectedPhoto, Item, ItemState
from triage_app.domain.journal import first_bad_entry
from triage_app.domain.vehicle import SIGNS, Answer, Incident
from triage_app.services import Services

RADIATOR = Item(zone=ZoneId("front_end"), component=ComponentId("radiator"))


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def case(shop: Services) -> Case:
    return shop.intake.open_case(by=ESTIMATOR, reference="R-1")


def test_a_new_case_is_held_and_answering_every_sign_lets_it_in(
    shop: Services, case: Case, clock: TestClock
) -> None:
    assert shop.admission.status(case).state is AdmissionState.HELD
    for sign in SIGNS:
        clock.forward(timedelta(seconds=5))
        case = shop.admission.answer(case.id, sign, Answer.NO, by=ESTIMATOR)
    status = shop.admission.status(shop.cases.get(case.id))
    assert status.state is AdmissionState.NO_SIGN
    last = status.signs[-1].answered
    assert last is not None
    assert last.recorded.by == ESTIMATOR.name
    assert last.recorded.at == NOON + timedelta(seconds=5 * len(SIGNS))


def test_whoever_opens_a_case_stands_for_the_answers_in_it(shop: Services) -> None:
    case = shop.intake.open_case(by=ESTIMATOR, reference="R-2", incident=NO_SIGNS)
    assert shop.admission.status(case).state is AdmissionState.NO_SIGN
    assert {entry.recorded.by for entry in case.admission} == {ESTIMATOR.name}
    # The first change after opening must not be taken for an answer that is there already.
    changed = Incident(odour=Answer.YES, water=Answer.NO)
    case = shop.intake.describe_incident(case.id, changed, by=SENIOR, base=NO_SIGNS)
    assert [one.what.sign for one in case.admission[len(SIGNS) :]]  # type: ignore[union-attr]  # answers only
    assert shop.admission.status(case).is_held


def test_a_bad_answer_reaches_the_rules_and_a_decision_takes_nothing_of_it_away(
    shop: Services,
) -> None:
    case = shop.intake.open_case(by=ESTIMATOR, incident=NO_SIGNS)
    case = shop.admission.answer(case.id, "odour", Answer.YES, by=ESTIMATOR, note="Sweet, front")
    status = shop.admission.status(case)
    assert shop.triage.assess_case(case).quarantine.level is Quarantine.KEEP_APART
    case = shop.admission.decide(
        case.id, Verdict.ADMITTED, reason="Washer fluid.", seen=status.causes, by=SENIOR
    )
    assert shop.admission.status(case).state is AdmissionState.ADMITTED
    assert shop.triage.assess_case(case).quarantine.level is Quarantine.KEEP_APART


def test_an_answer_that_came_while_somebody_decided_is_never_covered(
    shop: Services, case: Case
) -> None:
    seen = shop.admission.status(case).causes
    shop.admission.answer(case.id, "smoke", Answer.YES, by=ESTIMATOR)
    with pytest.raises(StaleCaseError, match="smoke: yes"):
        shop.admission.decide(case.id, Verdict.ADMITTED, reason="Looked.", seen=seen, by=SENIOR)
    assert shop.admission.status(shop.cases.get(case.id)).decision is None


def test_both_are_in_the_journal_and_its_chain_is_whole(shop: Services, case: Case) -> None:
    shop.admission.answer(case.id, "smoke", Answer.YES, by=ESTIMATOR)
    causes = shop.admission.status(shop.cases.get(case.id)).causes
    shop.admission.decide(
        case.id, Verdict.KEPT_OUTSIDE, reason="Fire service called.", seen=causes, by=SENIOR
    )
    shop.inspection.inspect(case.id, [RADIATOR], ItemState.NO_VISIBLE_DAMAGE, by=ESTIMATOR)
    shop.inspection.point_at(
        case.id, ExpectedPhoto.ODOMETER, reason="No 12 V supply.", by=ESTIMATOR
    )
    entries = shop.cases.journal(case.id)
    assert [entry.kind for entry in entries[1:]] == [
        "sign answered",
        "admission decided",
        "items inspected",
        "expected photo pointed at",
    ]
    assert [entry.signed.by for entry in entries[1:3]] == [ESTIMATOR.name, SENIOR.name]
    assert first_bad_entry(entries) is None
    stored = shop.cases.get(case.id)
    assert case_from_json(case_to_json(stored)) == stored


def test_a_repeat_of_the_same_entry_changes_nothing(shop: Services, case: Case) -> None:
    for _ in range(2):
        shop.admission.answer(
            case.id, "smoke", Answer.YES, by=ESTIMATOR, entry_id=AdmissionId("A1")
        )
        shop.inspection.inspect(
            case.id,
            [RADIATOR],
            ItemState.NOT_INSPECTED,
            by=ESTIMATOR,
            entry_id=InspectionId("I1"),
        )
    assert len(shop.cases.journal(case.id)) == 3


def test_a_sign_or_an_item_that_is_not_asked_for_is_refused_and_nothing_is_stored(
    shop: Services, case: Case
) -> None:
    with pytest.raises(InvalidInputError, match="no warning sign 'rain'"):
        shop.admission.answer(case.id, "rain", Answer.YES, by=ESTIMATOR)
    nowhere = Item(zone=ZoneId("front_end"), component=ComponentId("rear_drive_unit"))
    with pytest.raises(InvalidInputError, match="no item 'rear_drive_unit' in 'front_end'"):
        shop.inspection.inspect(case.id, [nowhere], ItemState.NOT_INSPECTED, by=ESTIMATOR)
    assert shop.cases.get(case.id) == case


def test_the_checklist_follows_from_what_was_recorded(shop: Services, case: Case) -> None:
    before = len(shop.inspection.unexplained(case))
    case = shop.inspection.inspect(
        case.id, [RADIATOR], ItemState.NOT_ACCESSIBLE, reason="Shield on.", by=ESTIMATOR
    )
    photo = shop.intake.add_photo(case.id, a_jpeg(900, 600), file_name="vin.jpg", by=ESTIMATOR)
    assert photo.photo is not None
    case = shop.inspection.point_at(
        case.id, ExpectedPhoto.VIN_PLATE, photo_ids=[photo.photo.id], by=ESTIMATOR
    )
    assert len(shop.inspection.unexplained(case)) == before - 2
    listed = shop.inspection.checklist(case)
    assert [one.item for one in listed.in_state(ItemState.NOT_ACCESSIBLE)] == [RADIATOR]
    assert listed.photos[0].photo_ids == (photo.photo.id,)
