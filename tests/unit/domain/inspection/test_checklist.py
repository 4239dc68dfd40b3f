"""The checklist: what is on it, what each item is, and what is left to explain."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from rules import ComponentId, Powertrain, ZoneId, load_rulebook
from tests.builders import SIGNED, a_case, a_finding, a_photo, some_tags
from tests.safing_records import with_entries
from triage_app.domain.case import Case, Withdrawal
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import InspectionId, PhotoId
from triage_app.domain.inspection.checklist import (
    ItemStanding,
    battery_seen_whole,
    checklist_of,
    unexplained,
)
from triage_app.domain.inspection.commands import InspectItems, PointAtPhotos
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.inspection.items import BATTERY_GROUPS, KINDS, OTHER_PARTS, items_of, kind_of
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.safing.layouts import HvLayout, HvUnit
from triage_app.domain.vehicle import Vehicle

BOOK = load_rulebook()
RADIATOR = Item(zone=ZoneId("front_end"), component=ComponentId("radiator"))
FAN = Item(zone=ZoneId("front_end"), component=ComponentId("fan"))
ELECTRIC = Vehicle(powertrain=Powertrain.BATTERY_ELECTRIC)
DAMAGED, NO_DAMAGE = ItemState.DAMAGED, ItemState.NO_VISIBLE_DAMAGE
NOT_ACCESSIBLE, NOT_INSPECTED = ItemState.NOT_ACCESSIBLE, ItemState.NOT_INSPECTED


def inspected(
    case: Case,
    items: Iterable[Item],
    state: ItemState,
    *,
    reason: str = "",
    covers_off: bool | None = None,
) -> Case:
    what = ItemsInspected(items=tuple(items), state=state, reason=reason, covers_off=covers_off)
    entry_id = InspectionId(f"I{len(case.inspection) + 1}")
    return InspectItems(entry_id=entry_id, what=what).apply(case, SIGNED)


def standing(case: Case, item: Item) -> ItemStanding:
    [found] = [one for one in checklist_of(case, BOOK).items if one.item == item]
    return found


def battery_items(case: Case) -> dict[ZoneId, list[Item]]:
    by_zone: dict[ZoneId, list[Item]] = {}
    for item in sorted(items_of(case, BOOK.components)):
        if BOOK.components[item.component].group in BATTERY_GROUPS:
            by_zone.setdefault(item.zone, []).append(item)
    return by_zone


def with_the_battery_seen(case: Case, *, covers_off: bool | None = True) -> Case:
    for items in battery_items(case).values():
        case = inspected(case, items, NO_DAMAGE, covers_off=covers_off)
    return case


def test_what_nobody_wrote_down_is_not_inspected_and_not_explained() -> None:
    case = a_case()
    states = {one.state for one in checklist_of(case, BOOK).items}
    assert states == {NOT_INSPECTED}
    items = [one for one in unexplained(case, BOOK) if not one.what.startswith("Photo")]
    assert len(items) == len(items_of(case, BOOK.components))
    assert items[0].why == "not inspected, and nobody said why"


def test_the_list_is_walked_around_the_car_and_then_beneath_it() -> None:
    zones = [zone.zone for zone in checklist_of(a_case(), BOOK).zones]
    assert zones[0] == "front_end"
    assert zones[-1] == "rear_centre"
    assert set(zones) == set(BOOK.zones)


def test_every_part_of_the_book_but_the_unknown_one_is_on_the_list_of_an_unknown_car() -> None:
    listed = {item.component for item in items_of(a_case(vehicle=Vehicle()), BOOK.components)}
    assert listed == set(BOOK.components) - {"unidentified_component"}


def test_every_part_of_the_book_has_a_row_of_its_kind() -> None:
    groups = [group for kind in KINDS.values() for group in kind]
    assert len(groups) == len(set(groups))
    without = [
        one.id
        for one in BOOK.components.values()
        if kind_of(one) == OTHER_PARTS and one.id != "unidentified_component"
    ]
    assert without == []


def test_an_electric_car_has_no_tank_and_no_exhaust() -> None:
    listed = {item.component for item in items_of(a_case(vehicle=ELECTRIC), BOOK.components)}
    assert not listed & {"fuel_tank", "exhaust", "catalytic_converter", "engine_sump"}
    assert {"battery_enclosure", "hv_cable", "front_drive_unit", "rear_drive_unit"} <= listed


def test_a_unit_leaves_the_list_only_by_a_document_of_the_maker() -> None:
    units = tuple(unit for unit in HvUnit if unit is not HvUnit.FRONT_DRIVE_UNIT)
    layout = HvLayout(units=units, document="Invented layout sheet")
    case = with_entries(a_case(vehicle=ELECTRIC), LayoutChosen(layout=layout))
    listed = {item.component for item in items_of(case, BOOK.components)}
    assert "front_drive_unit" not in listed
    assert "rear_drive_unit" in listed


def test_a_finding_on_a_part_that_the_car_should_not_have_is_on_the_list() -> None:
    tank = a_finding(tags=some_tags("fuel_tank", "dent", zone="rear_centre"))
    case = a_case(tank, vehicle=ELECTRIC)
    item = Item(zone=ZoneId("rear_centre"), component=ComponentId("fuel_tank"))
    assert standing(case, item).state is DAMAGED


@pytest.mark.parametrize("state", ItemState)
def test_an_item_is_what_was_last_written_of_it(state: ItemState) -> None:
    case = inspected(inspected(a_case(), [RADIATOR], NO_DAMAGE), [RADIATOR], state)
    assert standing(case, RADIATOR).state is state
    assert standing(case, FAN).state is NOT_INSPECTED


def test_damaged_follows_from_a_finding_and_goes_with_it() -> None:
    finding = a_finding(tags=some_tags("radiator", "leak", zone="front_end"))
    assert standing(a_case(finding), RADIATOR).state is DAMAGED
    assert standing(a_case(finding), RADIATOR).findings == (finding,)
    gone = replace(finding, withdrawn=Withdrawal(reason="A shadow.", signed=SIGNED))
    assert standing(a_case(gone), RADIATOR).state is NOT_INSPECTED


def test_a_finding_without_a_zone_may_be_at_any_place_of_its_part() -> None:
    case = a_case(a_finding(tags=some_tags("coolant_hose", "leak")))
    hoses = [one for one in checklist_of(case, BOOK).items if one.item.component == "coolant_hose"]
    assert len(hoses) == len(BOOK.components[ComponentId("coolant_hose")].zones)
    assert {one.state for one in hoses} == {DAMAGED}
    # It must not pass for having looked at every one of these places.
    assert unexplained(case, BOOK)[0].what == "Finding 1"
    placed = a_case(a_finding(tags=some_tags("coolant_hose", "leak", zone="front_end")))
    assert not [one for one in unexplained(placed, BOOK) if one.what.startswith("Finding")]


def test_a_finding_of_a_part_that_nobody_named_is_told_apart() -> None:
    unnamed = a_finding(tags=some_tags(None, "crack", zone="front_end"))
    assert checklist_of(a_case(unnamed), BOOK).unplaced == (unnamed,)


def test_no_visible_damage_beside_a_finding_is_a_contradiction_and_counts_as_damaged() -> None:
    finding = a_finding(4, tags=some_tags("radiator", "leak", zone="front_end"))
    case = inspected(a_case(finding), [RADIATOR], NO_DAMAGE)
    one = standing(case, RADIATOR)
    assert (one.state, one.is_contradicted) == (DAMAGED, True)
    assert [left.why for left in unexplained(case, BOOK) if left.what.endswith(one.label)] == [
        "no visible damage was written, and finding 4 says otherwise"
    ]
    mended = inspected(case, [RADIATOR], DAMAGED)
    assert not standing(mended, RADIATOR).is_contradicted
    assert not [left for left in unexplained(mended, BOOK) if left.what.endswith(one.label)]


def test_damage_that_was_seen_needs_its_finding() -> None:
    case = inspected(a_case(), [RADIATOR], DAMAGED)
    assert standing(case, RADIATOR).lacks_finding
    assert "no finding says which" in next(
        left.why for left in unexplained(case, BOOK) if left.what.endswith("Radiator")
    )


@pytest.mark.parametrize("state", [NOT_ACCESSIBLE, NOT_INSPECTED])
def test_what_was_not_seen_is_open_until_somebody_says_why(state: ItemState) -> None:
    case = inspected(a_case(), [RADIATOR], state)
    assert not standing(case, RADIATOR).is_explained
    assert standing(inspected(case, [RADIATOR], state, reason="Shield on."), RADIATOR).is_explained


def test_with_every_item_and_photo_settled_nothing_is_left_to_explain() -> None:
    case = a_case(photos=(a_photo(),))
    every = items_of(case, BOOK.components)
    case = inspected(case, every, NOT_ACCESSIBLE, reason="The car stands on its wheels.")
    for number, expected in enumerate(ExpectedPhoto):
        what = PhotosPointedAt(expected=expected, photo_ids=(a_photo().id,))
        case = PointAtPhotos(entry_id=InspectionId(f"P{number}"), what=what).apply(case, SIGNED)
    assert unexplained(case, BOOK) == ()


def test_an_expected_photo_is_settled_by_a_photo_or_by_a_reason_and_can_be_opened_again() -> None:
    def left(case: Case) -> list[str]:
        return [one.what for one in unexplained(case, BOOK) if one.what.startswith("Photo")]

    case = a_case()
    assert len(left(case)) == len(ExpectedPhoto)
    for number, (what, open_count) in enumerate(
        (
            (PhotosPointedAt(expected=ExpectedPhoto.ODOMETER, photo_ids=(a_photo().id,)), 8),
            (PhotosPointedAt(expected=ExpectedPhoto.SCAN_BEFORE, reason="No 12 V supply."), 7),
            (PhotosPointedAt(expected=ExpectedPhoto.ODOMETER), 8),
        )
    ):
        case = PointAtPhotos(entry_id=InspectionId(f"P{number}"), what=what).apply(case, SIGNED)
        assert len(left(case)) == open_count


def test_a_photo_that_the_case_does_not_have_is_refused() -> None:
    what = PhotosPointedAt(expected=ExpectedPhoto.ODOMETER, photo_ids=(PhotoId("P9"),))
    with pytest.raises(NotFoundError):
        PointAtPhotos(entry_id=InspectionId("P1"), what=what).apply(a_case(), SIGNED)


def test_a_photo_and_a_reason_for_having_none_exclude_each_other() -> None:
    with pytest.raises(InvalidInputError, match="not both"):
        PhotosPointedAt(expected=ExpectedPhoto.ODOMETER, photo_ids=(PhotoId("P"),), reason="None.")


@pytest.mark.parametrize("state", [DAMAGED, NO_DAMAGE])
def test_what_was_seen_is_said_of_one_place_at_a_time(state: ItemState) -> None:
    elsewhere = Item(zone=ZoneId("rear_end"), component=ComponentId("bumper_beam"))
    with pytest.raises(InvalidInputError, match="one place at a time"):
        ItemsInspected(items=(RADIATOR, elsewhere), state=state)


def test_an_entry_made_twice_stands_once() -> None:
    what = ItemsInspected(items=(RADIATOR,), state=NO_DAMAGE)
    command = InspectItems(entry_id=InspectionId("I1"), what=what)
    once = command.apply(a_case(), SIGNED)
    assert command.apply(once, SIGNED) is once


def test_the_battery_was_seen_whole_only_with_every_item_seen_and_the_covers_off() -> None:
    case = with_the_battery_seen(a_case())
    assert battery_seen_whole(case, BOOK.components) is True
    assert case_facts(case, BOOK.components).vehicle.battery_seen_whole is True
    assert case_facts(case).vehicle.battery_seen_whole is None


@pytest.mark.parametrize("covers_off", [False, None])
def test_a_battery_behind_its_covers_was_not_seen_whole(covers_off: bool | None) -> None:  # noqa: FBT001 - a parameter
    case = with_the_battery_seen(a_case(), covers_off=covers_off)
    assert battery_seen_whole(case, BOOK.components) is None


@pytest.mark.parametrize("state", [DAMAGED, NOT_ACCESSIBLE, NOT_INSPECTED])
def test_one_battery_item_that_was_not_seen_undamaged_is_enough(state: ItemState) -> None:
    case = with_the_battery_seen(a_case())
    for items in battery_items(case).values():
        for item in items:
            one_less = inspected(case, [item], state, reason="Jack below it.", covers_off=True)
            assert battery_seen_whole(one_less, BOOK.components) is None, item


def test_a_finding_on_the_battery_or_on_an_unnamed_part_outweighs_the_list() -> None:
    scrape = a_finding(tags=some_tags("battery_enclosure", "scrape", zone="battery_mid"))
    unnamed = a_finding(tags=some_tags(None, "crack"))
    assert battery_seen_whole(with_the_battery_seen(a_case(scrape)), BOOK.components) is False
    assert battery_seen_whole(with_the_battery_seen(a_case(unnamed)), BOOK.components) is None


def test_an_empty_case_has_not_seen_its_battery() -> None:
    assert battery_seen_whole(a_case(), BOOK.components) is None
