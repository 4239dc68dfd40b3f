"""No way round a reviewer: what takes the flag or the risk at HV down needs one, with a reason."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from rules import HvFlag, Powertrain, Risk
from tests.builders import ESTIMATOR, NO_SIGNS, SENIOR, a_jpeg, an_estimator, some_tags
from tests.unit.services.shop import a_shop
from triage_app.domain.admission.entries import Verdict
from triage_app.domain.case import Case, Measures, Tags
from triage_app.domain.errors import InvalidInputError, NotAllowedError, TriageError
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.domain.review.queue import FindingReview
from triage_app.domain.signed import Operator
from triage_app.domain.vehicle import Answer, Vehicle
from triage_app.services import Services
from triage_app.services.review import Decision

F1, F2, F3 = FindingId("f1"), FindingId("f2"), FindingId("f3")
CONFIRM = Decision(verdict=ReviewVerdict.CONFIRMED)
LINER = some_tags("wheel_arch_liner", "scrape", zone="rear_left")
WRITTEN_OFF = "only a senior technician"


@pytest.fixture
def shop() -> Services:
    return a_shop()


def with_findings(shop: Services, *tags: Tags, vehicle: Vehicle | None = None) -> Case:
    case = shop.intake.open_case(by=ESTIMATOR, vehicle=vehicle or Vehicle(system_voltage_v=400.0))
    shop.intake.add_photo(case.id, a_jpeg(), file_name="a.jpg", by=ESTIMATOR)
    photo_id = shop.cases.get(case.id).photos[0].id
    for number, each in enumerate(tags, start=1):
        shop.marking.mark(
            case.id,
            photo_id,
            rectangle(0.1, 0.1, 0.3, 0.3),
            finding_id=FindingId(f"f{number}"),
            mark_id=MarkId(f"m{number}"),
            tags=each,
            by=ESTIMATOR,
        )
    return shop.cases.get(case.id)


def item(shop: Services, case: Case, finding_id: FindingId = F1) -> FindingReview:
    found = shop.review.queue(shop.cases.get(case.id)).of(finding_id)
    assert found is not None
    return found


def tag(shop: Services, case: Case, *steps: Tags, f: FindingId = F1) -> None:
    for tags in steps:
        revision = shop.cases.get(case.id).finding(f).revision
        shop.marking.tag(case.id, f, tags, expected_revision=revision, by=ESTIMATOR)


def distance(mm: float, *, covers_off: bool | None = None, plus_minus: float | None = 10) -> Tags:
    measures = Measures(
        distance_to_hv_mm=mm, distance_uncertainty_mm=plus_minus, covers_off=covers_off
    )
    return replace(LINER, measures=measures)


@pytest.mark.parametrize(
    "steps",
    [
        # Each first step leaves the flag where it is, and the next only fills in.
        (distance(100), distance(1900), distance(1900, covers_off=True)),
        (some_tags("hv_cable", None), some_tags("wheel_arch_liner", None), LINER),
        (
            some_tags(None, "severed", zone="rear_left"),
            some_tags(None, "scrape", zone="rear_left"),
            LINER,
        ),
    ],
)
def test_no_two_steps_take_down_what_one_may_not(shop: Services, steps: tuple[Tags, ...]) -> None:
    case = with_findings(shop, steps[0])
    assert item(shop, case).answer.hv_flag is HvFlag.AT_HV
    with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
        tag(shop, case, *steps[1:])
    assert item(shop, case).answer.hv_flag is HvFlag.AT_HV


def test_no_two_steps_make_a_48_v_car_of_another(shop: Services) -> None:
    case = with_findings(shop, some_tags("skid_plate", "dent"))
    # The first step alone takes nothing down: such a voltage is not believed of an unknown drive.
    with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
        shop.intake.describe_vehicle(case.id, Vehicle(system_voltage_v=48.0), by=ESTIMATOR)
    assert item(shop, case).answer.hv_flag is HvFlag.AT_HV


def test_the_risk_at_hv_falls_by_a_reviewer_only(shop: Services) -> None:
    case = with_findings(shop, some_tags("hv_cable", "severed"))
    assert item(shop, case).answer.risk is Risk.HIGH
    with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
        tag(shop, case, some_tags("hv_cable", "scrape"))
    assert item(shop, case).answer.risk is Risk.HIGH


def withdraw_neighbour(shop: Services, case: Case) -> None:
    shop.marking.withdraw(case.id, F2, reason="wiped off", expected_revision=1, by=ESTIMATOR)


def rename_neighbour(shop: Services, case: Case) -> None:
    tag(shop, case, some_tags("radiator", "scrape", zone="rear_left"), f=F2)


@pytest.mark.parametrize("change", [withdraw_neighbour, rename_neighbour])
def test_a_neighbour_is_not_taken_away_from_a_finding_at_hv(
    shop: Services, change: Callable[[Services, Case], None]
) -> None:
    far = Measures(distance_to_hv_mm=5_000, distance_uncertainty_mm=50, covers_off=True)
    leak = some_tags("coolant_hose", "leak", zone="front_end", measures=far)
    cable = some_tags("hv_cable", "crack", zone="front_end")
    case = with_findings(shop, cable, leak)
    worst = item(shop, case).answer.risk
    with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
        change(shop, case)
    assert item(shop, case).answer.risk is worst


def test_what_a_hanging_cable_puts_within_reach_stays_so(shop: Services) -> None:
    far = Measures(distance_to_hv_mm=5_000, distance_uncertainty_mm=50, covers_off=True)
    hanging = replace(some_tags("hv_cable", "severed"), hangs_free=True)
    case = with_findings(shop, replace(LINER, measures=far), hanging)
    assert item(shop, case).answer.hv_flag is HvFlag.WITHIN_REACH
    with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
        tag(shop, case, replace(hanging, hangs_free=False), f=F2)
    assert item(shop, case).answer.hv_flag is HvFlag.WITHIN_REACH


def test_a_line_of_impact_once_drawn_is_taken_off_by_a_reviewer_with_a_reason(
    shop: Services,
) -> None:
    cable = some_tags("hv_cable", "corrosion", zone="front_centre")
    case = with_findings(shop, cable)
    before = item(shop, case).answer.risk
    along = ((0.5, 0.0), (0.5, 1.0))
    shop.photos.draw_impact_line(case.id, along, by=ESTIMATOR)
    raised = item(shop, case).answer.risk
    if raised <= before:
        pytest.fail("the example's line raises nothing")
    for ends in (None, ((0.02, 0.0), (0.02, 1.0))):
        with pytest.raises(NotAllowedError, match=WRITTEN_OFF):
            shop.photos.draw_impact_line(case.id, ends, by=ESTIMATOR)
        with pytest.raises(InvalidInputError, match="with a reason"):
            shop.photos.draw_impact_line(case.id, ends, by=SENIOR)
    assert item(shop, case).answer.risk is raised
    shop.photos.draw_impact_line(case.id, None, by=SENIOR, reason="The kerb was on the right.")
    assert item(shop, case).answer.risk is before
    assert "The kerb was on the right." in shop.cases.journal(case.id)[-1].detail


def test_a_reviewer_says_why_the_car_is_another(shop: Services) -> None:
    case = with_findings(shop, some_tags("skid_plate", "dent"))
    car = Vehicle(system_voltage_v=48.0, powertrain=Powertrain.MILD_HYBRID_48V)
    with pytest.raises(InvalidInputError, match="with a reason"):
        shop.intake.describe_vehicle(case.id, car, by=SENIOR)
    shop.intake.describe_vehicle(case.id, car, by=SENIOR, reason="Registration says 48 V.")
    assert "Registration says 48 V." in shop.cases.journal(case.id)[-1].detail


def test_what_a_reviewer_confirmed_at_hv_stays_there_until_signed_again(shop: Services) -> None:
    case = with_findings(shop, LINER)
    tag(shop, case, replace(LINER, hv_conductor_visible=True))
    one = item(shop, case)
    shop.review.decide(case.id, F1, CONFIRM, seen=one.sha256, by=SENIOR)
    unsaid = with_findings(shop, some_tags("wheel_arch_liner", "dent"))
    one = item(shop, unsaid)
    assert one.hv_flag is HvFlag.AT_HV
    shop.review.decide(unsaid.id, F1, CONFIRM, seen=one.sha256, by=SENIOR)
    far = Measures(distance_to_hv_mm=5_000, distance_uncertainty_mm=50, covers_off=True)
    # Filling in is free, but it does not outvote who signed.
    tag(shop, unsaid, some_tags("wheel_arch_liner", "dent", measures=far))
    one = item(shop, unsaid)
    assert one.answer.hv_flag < HvFlag.AT_HV
    assert one.hv_flag is HvFlag.AT_HV
    assert one.is_one_by_one
    assert one in shop.review.queue(shop.cases.get(unsaid.id)).waiting
    with pytest.raises(InvalidInputError, match="Give a reason"):
        shop.review.decide(unsaid.id, F1, CONFIRM, seen=one.sha256, by=SENIOR)
    again = replace(CONFIRM, reason="Measured with the cover off.")
    shop.review.decide(unsaid.id, F1, again, seen=one.sha256, by=SENIOR)
    assert item(shop, unsaid).hv_flag < HvFlag.AT_HV


def test_an_unnamed_mark_that_a_reviewer_signed_is_not_taken_back(shop: Services) -> None:
    case = with_findings(shop, Tags())
    shop.review.decide(case.id, F1, CONFIRM, seen=item(shop, case).sha256, by=SENIOR)
    with pytest.raises(TriageError):
        shop.marking.remove_mark(case.id, MarkId("m1"), by=ESTIMATOR)
    assert item(shop, case).hv_flag is HvFlag.AT_HV


def test_a_sign_answered_yes_goes_on_counting_until_a_reviewer_decides(shop: Services) -> None:
    case = shop.intake.open_case(by=ESTIMATOR, incident=NO_SIGNS)
    case = shop.admission.answer(case.id, "smoke", Answer.YES, by=ESTIMATOR)
    worst = shop.triage.assess_case(case)
    assert worst.hv_flag is HvFlag.AT_HV
    case = shop.admission.answer(case.id, "smoke", Answer.NO, by=an_estimator("Pat Person"))
    still = shop.triage.assess_case(case)
    assert (still.hv_flag, still.risk) == (worst.hv_flag, worst.risk)
    case = shop.intake.describe_incident(case.id, NO_SIGNS, by=ESTIMATOR)
    assert shop.triage.assess_case(case).hv_flag is HvFlag.AT_HV
    status = shop.admission.status(case)
    case = shop.admission.decide(
        case.id,
        Verdict.ADMITTED,
        reason="Steam from the radiator, seen by me.",
        seen=status.causes,
        by=SENIOR,
    )
    assert shop.triage.assess_case(case).hv_flag is HvFlag.NONE


def drawn(shop: Services, case: Case, at: float, by: Operator = ESTIMATOR) -> None:
    """Draw an unnamed third mark, which counts as the worst that may be there."""
    outline = rectangle(at, at, at + 0.1, at + 0.1)
    shop.marking.mark(
        case.id, case.photos[0].id, outline, finding_id=F3, mark_id=MarkId("m3"), by=by
    )


def worst_beside(shop: Services) -> tuple[Case, HvFlag]:
    """Return a case whose liner an unnamed mark beside it puts at high voltage, and its flag."""
    cable = some_tags("hv_cable", "severed")
    case = with_findings(shop, cable, LINER)
    alone = item(shop, case, F2).hv_flag
    drawn(shop, case, 0.6)
    return case, alone


def test_a_new_mark_of_a_damage_already_found_joins_it(shop: Services) -> None:
    case, alone = worst_beside(shop)
    shop.marking.same_damage(case.id, MarkId("m3"), F1, by=ESTIMATOR)
    assert len(shop.cases.get(case.id).finding(F1).marks) == 2
    assert item(shop, case, F2).hv_flag is alone


def test_a_mark_drawn_by_mistake_is_taken_back_by_the_hand_that_drew_it(shop: Services) -> None:
    case, alone = worst_beside(shop)
    shop.marking.remove_mark(case.id, MarkId("m3"), by=ESTIMATOR)
    assert item(shop, case, F2).hv_flag is alone


def test_a_mark_that_somebody_else_drew_is_not(shop: Services) -> None:
    case, _ = worst_beside(shop)
    with pytest.raises(InvalidInputError, match="nobody has said what it is"):
        shop.marking.remove_mark(case.id, MarkId("m3"), by=an_estimator("Ola Other"))
