"""Test points: from the layout and from what was found; a severed cable makes islands."""

from dataclasses import replace

import pytest

from tests.builders import a_case, a_finding, some_tags
from tests.safing_records import COMPONENTS, SMALL_LAYOUT, entered, small_case
from triage_app.domain.case import Case, Tags
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.safing import points
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.safing.layouts import TEMPLATES, HvLayout, HvUnit, LayoutTemplate
from triage_app.domain.safing.points import SURFACE_DAMAGE, islands_of, points_of


def ids(case: Case) -> list[str]:
    return [point.id for point in points_of(case, COMPONENTS)]


def test_without_a_layout_every_unit_counts_as_fitted() -> None:
    assert len(ids(a_case())) == len(HvUnit)


def test_a_whole_bus_is_one_island() -> None:
    assert islands_of(points_of(a_case(), COMPONENTS)) == (points.WHOLE_BUS,)


def test_a_severed_cable_makes_an_island_of_each_end_and_each_unit() -> None:
    case = a_case(a_finding(2, tags=some_tags("hv_cable", "severed")))
    found = points_of(case, COMPONENTS)
    assert len(found) == len(HvUnit) + 2
    assert len(islands_of(found)) == len(found)
    assert [point.id for point in found[-2:]] == ["finding:F2:battery", "finding:F2:far"]


@pytest.mark.parametrize(
    "damage", ["severed", "tear", "burn_or_arc_mark", "pinched", "crack", None]
)
@pytest.mark.parametrize("part", ["hv_cable", "hv_connector", "service_disconnect", "charge_inlet"])
def test_any_damage_that_may_part_a_conductor_makes_two_ends(part: str, damage: str | None) -> None:
    assert len(ids(a_case(a_finding(tags=some_tags(part, damage))))) == len(HvUnit) + 2


@pytest.mark.parametrize("damage", sorted(SURFACE_DAMAGE))
def test_damage_to_the_surface_parts_nothing(damage: str) -> None:
    case = a_case(a_finding(tags=some_tags("hv_cable", damage)))
    assert islands_of(points_of(case, COMPONENTS)) == (points.WHOLE_BUS,)


@pytest.mark.parametrize(
    "tags",
    [
        some_tags("unidentified_component", "severed"),
        some_tags(None, "severed"),
        Tags(hv_conductor_visible=True, note="bare copper"),
    ],
)
def test_what_is_not_identified_counts_as_an_hv_cable(tags: Tags) -> None:
    is_named = tags.component or tags.damage
    assert len(ids(a_case(a_finding(tags=tags)))) == len(HvUnit) + (2 if is_named else 1)


@pytest.mark.parametrize(
    ("part", "point"),
    [
        ("rear_drive_unit", "unit:rear_drive_unit"),
        ("onboard_charger", "unit:charger"),
        ("battery_mount", "unit:battery_output"),
        ("inverter", "finding:F1"),
    ],
)
def test_a_damaged_unit_is_a_point_whatever_the_layout_says(part: str, point: str) -> None:
    case = small_case().with_finding(a_finding(tags=some_tags(part, "dent")))
    assert set(ids(case)) == {"unit:battery_output", point}


@pytest.mark.parametrize("part", ["skid_plate", "bonding_strap", "radiator"])
def test_what_carries_no_voltage_is_no_point(part: str) -> None:
    case = small_case().with_finding(a_finding(tags=some_tags(part, "severed")))
    assert ids(case) == ["unit:battery_output"]


def test_every_part_that_stands_for_a_unit_is_in_the_book() -> None:
    assert set(points._UNITS) <= set(COMPONENTS)


def test_a_unit_is_left_out_only_by_a_document() -> None:
    with pytest.raises(InvalidInputError, match="which document of the maker shows"):
        HvLayout(units=(HvUnit.BATTERY_OUTPUT,))
    with pytest.raises(InvalidInputError, match="Every car has a battery output"):
        HvLayout(units=(HvUnit.HEATER,), document="sheet")
    assert SMALL_LAYOUT.units == (HvUnit.BATTERY_OUTPUT,)


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda one: one.name)
def test_each_template_is_a_layout(template: LayoutTemplate) -> None:
    layout = HvLayout(units=template.units, document="sheet", extra=template.extra)
    assert (layout.units, layout.extra) == (
        tuple(unit for unit in HvUnit if unit in template.units),
        template.extra,
    )


def test_the_template_that_counts_while_nobody_chose_comes_first_and_has_every_unit() -> None:
    assert TEMPLATES[0].units == HvLayout().units == tuple(HvUnit)


def test_a_cable_that_is_added_becomes_a_point_of_its_own() -> None:
    layout = HvLayout(units=tuple(HvUnit), extra=("DC charging cable, at the inlet",))
    case = replace(a_case(), safing=entered([LayoutChosen(layout=layout)]))
    assert points_of(case, COMPONENTS)[-1].name == "DC charging cable, at the inlet"


@pytest.mark.parametrize(
    "tags",
    [some_tags("onboard_charger", "dent"), Tags(hv_conductor_visible=True, note="bare copper")],
)
def test_beside_a_severed_cable_a_damaged_part_is_an_island_of_its_own(tags: Tags) -> None:
    layout = small_case().safing
    case = replace(
        a_case(
            a_finding(2, tags=some_tags("hv_cable", "severed")),
            a_finding(3, tags=tags),
        ),
        safing=layout,
    )
    found = points_of(case, COMPONENTS)
    assert points.WHOLE_BUS not in islands_of(found)
    assert len(islands_of(found)) == len(found) == 4
