"""The review page: what a reviewer sees before signing, and what takes a signature away."""

from dataclasses import replace

import pytest

from rules import HvFlag, Powertrain
from tests.builders import ESTIMATOR, SENIOR, some_tags
from tests.released import ready_case
from tests.ui.conftest import Door, OpenPage, has_button, press, said
from tests.unit.services.shop import TestClock
from triage_app.domain.case import Case, Measures
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.permissions import Role
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.domain.vehicle import Vehicle
from triage_app.services import Services
from triage_app.ui import report_text, review_text
from triage_app.ui.navigation import Place

F1, F2 = FindingId("f1"), FindingId("f2")
SHIELD = some_tags("skid_plate", "dent", zone="battery_front")
LINER = some_tags("wheel_arch_liner", "scrape", zone="rear_left")


@pytest.fixture
def flagged(shop: Services, case: Case) -> Case:
    """Return a case with one finding at HV and one within reach of it."""
    for number, tags in enumerate((SHIELD, LINER), start=1):
        shop.marking.mark(
            case.id,
            case.photos[0].id,
            rectangle(0.1 * number, 0.2, 0.1 * number + 0.08, 0.4),
            finding_id=FindingId(f"f{number}"),
            mark_id=MarkId(f"m{number}"),
            tags=tags,
            by=ESTIMATOR,
        )
    return shop.cases.get(case.id)


@pytest.fixture
def senior(door: Door) -> None:
    door.sign_in(SENIOR.name, [Role.SENIOR_TECHNICIAN])


@pytest.mark.usefixtures("senior")
def test_a_finding_at_hv_comes_with_close_up_reasons_record_and_early_photos(
    flagged: Case, open_page: OpenPage
) -> None:
    page = said(open_page(Place.REVIEW, flagged))
    assert "2 findings wait for review. " in page
    assert "Close-up of" in page
    assert page.count("(HVF-002)") == 1
    assert "not recorded" in page
    assert "Photo 1: nobody can tell when" in page


@pytest.mark.usefixtures("senior")
def test_confirming_signs_it_and_an_edit_takes_that_away_in_plain_view(
    shop: Services, flagged: Case, open_page: OpenPage
) -> None:
    tab = press(open_page(Place.REVIEW, flagged), review_text.CONFIRM)
    (review,) = shop.cases.get(flagged.id).reviews
    assert review.signed.by == SENIOR.name
    assert f"SHA-256 {review.given.sha256[:12]}" in said(tab)
    assert "1 finding waits for review. " in said(tab)
    shop.marking.tag(
        flagged.id, F1, replace(SHIELD, note="late"), expected_revision=1, by=ESTIMATOR
    )
    after = said(open_page(Place.REVIEW, flagged))
    assert review_text.CHANGED in after
    assert "the note changed from not said to late" in after


@pytest.mark.usefixtures("senior")
def test_what_changed_while_the_reviewer_looked_is_not_signed(
    shop: Services, flagged: Case, open_page: OpenPage
) -> None:
    tab = open_page(Place.REVIEW, flagged)
    shop.marking.tag(
        flagged.id, F1, replace(SHIELD, note="late"), expected_revision=1, by=ESTIMATOR
    )
    assert "changed while you looked. Nothing was signed" in said(press(tab, review_text.CONFIRM))
    assert shop.cases.get(flagged.id).reviews == ()


@pytest.mark.usefixtures("senior")
def test_lowering_takes_a_reason_and_both_answers_stay_on_the_page(
    shop: Services, flagged: Case, open_page: OpenPage
) -> None:
    tab = open_page(Place.REVIEW, flagged)
    tab.radio(key="review-f1-0-flag").set_value(HvFlag.WITHIN_REACH)
    assert "Give a reason" in said(press(tab, review_text.LOWER))
    tab.text_area(key="review-f1-0-reason").set_value("Cable seen whole behind it.")
    page = said(press(tab, review_text.LOWER))
    (review,) = shop.cases.get(flagged.id).reviews
    assert review.given.verdict is ReviewVerdict.LOWERED
    assert review_text.REVIEWER_SAYS in page
    assert "Cable seen whole behind it." in page


@pytest.mark.usefixtures("senior")
def test_those_within_reach_are_acknowledged_in_one_step(
    shop: Services, flagged: Case, open_page: OpenPage
) -> None:
    press(open_page(Place.REVIEW, flagged), review_text.GROUP_ALL)
    (review,) = shop.cases.get(flagged.id).reviews
    assert (review.given.finding_id, review.given.verdict) == (F2, ReviewVerdict.ACKNOWLEDGED)


def test_who_may_not_review_reads_and_has_no_button(
    flagged: Case, open_page: OpenPage, door: Door
) -> None:
    door.sign_in("Erin Estimator the second", [Role.ESTIMATOR])
    tab = open_page(Place.REVIEW, flagged)
    assert review_text.FOR_SENIOR in said(tab)
    for label in (review_text.CONFIRM, review_text.LOWER, review_text.GROUP_ALL):
        assert not has_button(tab, label)


def test_a_release_is_offered_once_nothing_stands_in_its_way(
    shop: Services, open_page: OpenPage, door: Door
) -> None:
    clock = shop.clock
    assert isinstance(clock, TestClock)
    case = ready_case(shop, clock)
    door.sign_in(SENIOR.name, [Role.SENIOR_TECHNICIAN])
    tab = press(open_page(Place.REPORT, case), review_text.RELEASE)
    assert review_text.RELEASED in said(tab)
    assert shop.cases.get(case.id).reports[0].release is not None


@pytest.mark.usefixtures("senior")
def test_until_then_the_page_lists_what_is_missing(flagged: Case, open_page: OpenPage) -> None:
    tab = open_page(Place.REPORT, flagged)
    assert not has_button(tab, review_text.RELEASE)
    assert "Finding 1 is at high voltage and waits for its review." in said(tab)
    assert report_text.DRAFT in said(tab)


@pytest.mark.usefixtures("senior")
def test_what_was_confirmed_at_hv_is_taken_back_with_a_reason(
    shop: Services, flagged: Case, open_page: OpenPage
) -> None:
    press(open_page(Place.REVIEW, flagged), review_text.CONFIRM)
    far = Measures(distance_to_hv_mm=5_000, distance_uncertainty_mm=50, covers_off=True)
    car = Vehicle(system_voltage_v=48.0, powertrain=Powertrain.MILD_HYBRID_48V)
    shop.intake.describe_vehicle(flagged.id, car, by=SENIOR, reason="Registration paper.")
    shop.marking.tag(
        flagged.id, F1, replace(SHIELD, measures=far), expected_revision=1, by=ESTIMATOR
    )
    tab = open_page(Place.REVIEW, flagged)
    assert "1 finding waits for review. " in said(tab)
    press(tab, review_text.TAKE_BACK)
    assert shop.review.queue(shop.cases.get(flagged.id)).of(F1).hv_flag is HvFlag.AT_HV  # type: ignore[union-attr]  # it is open
    tab.text_area[0].set_value("A 48 V car, measured.")
    press(tab, review_text.TAKE_BACK)
    assert shop.review.queue(shop.cases.get(flagged.id)).of(F1).hv_flag is HvFlag.NONE  # type: ignore[union-attr]  # as above
