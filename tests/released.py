"""A case on which a report can be released, worked through the services as people would.

People, car and figures are invented.
"""

from datetime import timedelta

from tests.builders import ESTIMATOR, SENIOR, a_jpeg, some_tags
from tests.safing_records import RECORDER, SMALL_LAYOUT, whole_record
from tests.unit.services.shop import TestClock
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import CaseId, FindingId, MarkId
from triage_app.domain.inspection.entries import ExpectedPhoto, ItemState
from triage_app.domain.permissions import Role
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.signed import Operator
from triage_app.domain.vehicle import SIGNS, Answer, Vehicle
from triage_app.services import Services
from triage_app.services.review import Decision

F1, M1 = FindingId("f1"), MarkId("m1")
SHIELD = some_tags("skid_plate", "dent", zone="battery_front")
WHY = "Trim left on; the maker's procedure wants the car on its wheels."
SECOND_PERSON = Operator(name=RECORDER, roles=frozenset({Role.SENIOR_TECHNICIAN}))
BETWEEN = timedelta(minutes=6)


def ready_case(shop: Services, clock: TestClock, *, reference: str = "R-1") -> Case:
    """Return a case with one finding at HV, signed, on which nothing stands in the way."""
    case = shop.intake.open_case(
        by=ESTIMATOR, reference=reference, vehicle=Vehicle(system_voltage_v=400.0)
    )
    for sign in SIGNS:
        shop.admission.answer(case.id, sign, Answer.NO, by=ESTIMATOR)
    make_safe(shop, clock, case.id)
    shop.intake.add_photo(case.id, a_jpeg(), file_name="a.jpg", by=ESTIMATOR)
    photo_id = shop.cases.get(case.id).photos[0].id
    box = rectangle(0.1, 0.1, 0.3, 0.3)
    shop.marking.mark(case.id, photo_id, box, finding_id=F1, mark_id=M1, tags=SHIELD, by=ESTIMATOR)
    explain_the_rest(shop, case.id)
    sign_all(shop, case.id)
    return shop.cases.get(case.id)


def make_safe(shop: Services, clock: TestClock, case_id: CaseId) -> None:
    """Record a whole make-safe record of a car with one unit, step by step."""
    case = shop.safing.record(case_id, LayoutChosen(layout=SMALL_LAYOUT), by=SECOND_PERSON)
    for what in whole_record([point.id for point in shop.safing.points(case)]):
        clock.forward(BETWEEN)
        shop.safing.record(case_id, what, by=SECOND_PERSON)


def explain_the_rest(shop: Services, case_id: CaseId) -> None:
    """Say of everything that nobody saw why not."""
    case = shop.cases.get(case_id)
    left = [
        one.item
        for one in shop.inspection.checklist(case).items
        if one.state is ItemState.NOT_INSPECTED
    ]
    shop.inspection.inspect(case_id, left, ItemState.NOT_INSPECTED, reason=WHY, by=ESTIMATOR)
    for expected in ExpectedPhoto:
        shop.inspection.point_at(case_id, expected, reason=WHY, by=ESTIMATOR)


def sign_all(shop: Services, case_id: CaseId, *, by: Operator = SENIOR) -> None:
    """Confirm what is at HV and acknowledge what is within reach, as the queue has them."""
    queue = shop.review.queue(shop.cases.get(case_id))
    for item in queue.one_by_one:
        decision = Decision(verdict=ReviewVerdict.CONFIRMED)
        shop.review.decide(case_id, item.finding.id, decision, seen=item.sha256, by=by)
    seen = {item.finding.id: item.sha256 for item in queue.group}
    if seen:
        shop.review.acknowledge(case_id, seen, by=by)
