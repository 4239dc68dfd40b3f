"""Rows of money, worked by hand."""

from decimal import Decimal

import pytest

from tests.unit.domain.plan.shop import figures, flat_prices, plan_of
from tests.unit.rules.book import a_finding
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.costing import Bill, Row
from triage_app.domain.plan.figures import Overlap, Price
from triage_app.domain.plan.plan import Plan

SHIELD = a_finding("under_shield_front", "fracture", zone="front_end", at=5000.0)
RADIATOR = a_finding(
    "radiator", "fracture", zone="front_end", at=5000.0, finding_id="2", hv_conductor_visible=False
)


def row_of(bill: Bill, operation: str) -> Row:
    (found,) = [row for row in bill.rows if row.operation == operation]
    return found


def names(plan: Plan) -> list[str]:
    return [row.operation for row in plan.if_met.rows]


def test_a_broken_shield_is_five_rows_that_add_up_by_hand() -> None:
    """Hours at 90.00: scans 2 x 0.5, off and on 2 x 0.5 = 180.00; shield 10.00, clips 10.00."""
    plan = plan_of(SHIELD)
    assert names(plan) == [
        "scan_before",
        "front_shield_off",
        "replace:under_shield_front",
        "front_shield_on",
        "shield_clips",
        "scan_after",
    ]
    assert plan.if_met.net == 4 * 4500 + 1000 + 1000
    assert plan.if_met.total == plan.if_met.net
    assert plan.span.least == plan.span.most == plan.if_met.net


def test_every_bill_can_be_added_up_again_from_its_rows() -> None:
    plan = plan_of(SHIELD, RADIATOR, given=figures(tax="19", markup="12.5"))
    for bill in (plan.if_met, plan.least_bill, plan.most_bill):
        assert bill is not None
        for row in bill.rows:
            parts = row.labour_amount + row.part_amount + row.outside_amount + row.markup_amount
            assert row.amount == parts
        assert bill.net == sum(row.amount or 0 for row in bill.rows)
        assert bill.total == bill.net + bill.tax
        assert bill.missing == 0


def test_access_that_two_findings_share_is_paid_once() -> None:
    alone = plan_of(SHIELD).if_met.net
    both = plan_of(SHIELD, RADIATOR)
    assert names(both).count("front_shield_off") == 1
    other = plan_of(RADIATOR).if_met.net
    # Both alone have scans, shield off and on, and clips: 4 x 45.00 + 10.00 are paid once.
    assert both.if_met.net == alone + other - (4 * 4500 + 1000)


def test_outside_service_gets_the_markup_and_is_rounded_by_the_row() -> None:
    """A row of 33.33 outside with 12.5 % is 4.17 (4.16625) more."""
    prices = flat_prices() | {"camera_calibration": Price(outside=Decimal("33.33"))}
    shaft = a_finding("drive_shaft", "tear", zone="front_left", at=5000.0)
    plan = plan_of(shaft, given=figures(prices, markup="12.5"))
    row = row_of(plan.if_met, "camera_calibration")
    assert (row.outside_amount, row.markup_amount, row.amount) == (3333, 417, 3750)


def test_an_overlap_is_deducted_once_and_shown_as_a_row() -> None:
    """0.2 h at 90.00 lie inside both shield steps: done once, so 18.00 come off."""
    overlap = Overlap(
        name="lift the car",
        hours=Decimal("0.2"),
        operations=frozenset(["front_shield_off", "front_shield_on", "battery_down"]),
    )
    plan = plan_of(SHIELD, given=figures(overlaps=(overlap,)))
    row = row_of(plan.if_met, "once: lift the car")
    assert (row.hours, row.amount) == (Decimal("-0.2"), -1800)
    assert plan.if_met.net == 4 * 4500 + 2000 - 1800
    assert plan.span.least == plan.if_met.net
    only_one = Overlap(
        name="lift", hours=Decimal("0.2"), operations=frozenset(["front_shield_off", "wheel_off"])
    )
    assert plan_of(SHIELD, given=figures(overlaps=(only_one,))).if_met.net == 4 * 4500 + 2000


def test_three_that_overlap_are_counted_once_and_not_deducted_twice_each() -> None:
    """Of three operations that share 0.1 h, two times 9.00 come off, never three."""
    overlap = Overlap(
        name="lift",
        hours=Decimal("0.1"),
        operations=frozenset(["front_shield_off", "front_shield_on", "scan_before"]),
    )
    plan = plan_of(SHIELD, given=figures(overlaps=(overlap,)))
    assert plan.if_met.net == 4 * 4500 + 2000 - 2 * 900


def test_an_overlap_that_cannot_be_is_refused() -> None:
    too_much = Overlap(
        name="lift",
        hours=Decimal("0.6"),
        operations=frozenset(["front_shield_off", "front_shield_on"]),
    )
    with pytest.raises(InvalidInputError, match="more hours off"):
        plan_of(SHIELD, given=figures(overlaps=(too_much,)))
    two_kinds = Overlap(
        name="lift", hours=Decimal("0.1"), operations=frozenset(["front_shield_off", "make_safe"])
    )
    cable = a_finding("hv_cable", "severed", zone="battery_front", finding_id="3")
    with pytest.raises(InvalidInputError, match="of one kind"):
        plan_of(SHIELD, cable, given=figures(overlaps=(two_kinds,)))


@pytest.mark.parametrize(
    ("price", "missing"),
    [
        (None, ("hours", "price of the part")),
        (Price(hours=Decimal(1)), ("price of the part",)),
        (Price(part=Decimal(1)), ("hours",)),
    ],
)
def test_what_has_no_price_is_never_zero(price: Price | None, missing: tuple[str, ...]) -> None:
    prices = flat_prices()
    del prices["replace:fan_shroud"]
    if price is not None:
        prices["replace:fan_shroud"] = price
    shroud = a_finding("fan_shroud", "crack", zone="front_end", at=5000.0, length_mm=20.0)
    plan = plan_of(shroud, given=figures(prices))
    row = row_of(plan.if_met, "replace:fan_shroud")
    assert (row.amount, row.missing) == (None, missing)
    assert plan.if_met.missing == 1
    assert plan.span.most is None


def test_days_of_storage_that_nobody_gave_are_missing() -> None:
    burned = a_finding("battery_enclosure", "burn_or_arc_mark", zone="battery_front")
    with_days = row_of(plan_of(burned).if_met, "storage")
    assert with_days.amount == 3 * 2000
    without = row_of(plan_of(burned, given=figures(days=None)).if_met, "storage")
    assert without.missing == ("number of days",)


def test_a_price_of_one_operation_in_this_case_goes_before_the_list() -> None:
    edited = {"replace:drive_shaft@front_left": Price(hours=Decimal(1), part=Decimal("250.00"))}
    shaft = a_finding("drive_shaft", "tear", zone="front_left", at=5000.0)
    plan = plan_of(shaft, given=figures(flat_prices() | edited))
    assert row_of(plan.if_met, "replace:drive_shaft@front_left").amount == 9000 + 25000
