"""Which items are on the checklist of a car: the parts of the rule book, by its drive and layout.

When in doubt an item is on the list: a part leaves it only where the kind of drive cannot have it,
or where a document of the maker says that the car has no such unit.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from rules import UNIDENTIFIED_COMPONENT, Component, ComponentId, Powertrain, Zone, ZoneId
from triage_app.domain.case import Case, Finding
from triage_app.domain.inspection.entries import Item, ItemsInspected
from triage_app.domain.safing.layouts import HvUnit
from triage_app.domain.safing.points import layout_of

Components = Mapping[ComponentId, Component]

# Once around the car from the nose, then beneath it from front to back.
WALK: Final = (
    "front_end",
    "front_left",
    "sill_left",
    "rear_left",
    "rear_end",
    "rear_right",
    "sill_right",
    "front_right",
    "front_centre",
    "battery_front",
    "battery_mid",
    "battery_rear",
    "rear_centre",
)
BATTERY_GROUPS: Final = frozenset({"pack", "pack_coolant", "pack_mount"})
# A kind of part, as one row of the list, and the groups of the rule book that belong to it.
KINDS: Final = {
    "Battery": BATTERY_GROUPS,
    "HV cables and connectors": frozenset({"hv_conductor", "hv_guard", "hv_lock", "hv_bonding"}),
    "HV units": frozenset({"hv_unit"}),
    "Shields and covers": frozenset({"shield"}),
    "Coolant and refrigerant": frozenset({"coolant", "refrigerant"}),
    "Brake hydraulics": frozenset({"brake_hydraulic"}),
    "Fuel and oil": frozenset({"fuel", "oil"}),
    "Lifting points": frozenset({"lifting"}),
    "Body and mounts": frozenset({"body", "unit_mount", "fastener"}),
    "Wheels, steering, suspension": frozenset({"chassis"}),
    "12 V and 48 V": frozenset({"lv", "system_48v"}),
    "Exhaust": frozenset({"exhaust", "exhaust_hot"}),
    "Trim": frozenset({"trim"}),
}
OTHER_PARTS: Final = "Other parts"
_NEEDS_AN_ENGINE = frozenset({"fuel", "exhaust", "exhaust_hot"})
_ENGINE_PARTS = frozenset({"engine_sump", "exhaust_fluid_tank"})
_OF_UNIT: Final = {
    HvUnit.FRONT_DRIVE_UNIT: "front_drive_unit",
    HvUnit.REAR_DRIVE_UNIT: "rear_drive_unit",
    HvUnit.CHARGER: "onboard_charger",
    HvUnit.DC_DC: "dc_dc_converter",
    HvUnit.COMPRESSOR: "ac_compressor",
    HvUnit.HEATER: "hv_heater",
    HvUnit.JUNCTION: "hv_junction_box",
}


def kind_of(component: Component | None) -> str:
    """Return the row that a part belongs to; a shop's own group makes no row of its own."""
    group = component.group if component else ""
    return next((kind for kind, groups in KINDS.items() if group in groups), OTHER_PARTS)


def zones_in_order(zones: Mapping[ZoneId, Zone]) -> tuple[ZoneId, ...]:
    """Return the zones as one walks past them; a shop's own zones come last."""
    known = [ZoneId(zone) for zone in WALK if zone in zones]
    return (*known, *(zone for zone in zones if zone not in known))


def items_of(case: Case, components: Components) -> frozenset[Item]:
    """Return every item on the list of this car, those with a finding or an entry included."""
    return frozenset((*_fitted(case, components), *_found(case, components), *_written_down(case)))


def items_with(finding: Finding, components: Components) -> frozenset[Item]:
    """Return the items that a finding is about: where nobody named the zone, all of that part."""
    component = finding.tags.component
    known = components.get(component) if component else None
    if component is None or component == UNIDENTIFIED_COMPONENT:
        return frozenset()
    if finding.tags.zone is not None:
        return frozenset({Item(zone=finding.tags.zone, component=component)})
    zones: Iterable[ZoneId] = known.zones if known else ()
    return frozenset(Item(zone=zone, component=component) for zone in zones)


def _fitted(case: Case, components: Components) -> Iterator[Item]:
    layout = layout_of(case)
    missing = {_OF_UNIT.get(unit) for unit in layout.left_out} if layout else set()
    has_engine = case.vehicle.powertrain is not Powertrain.BATTERY_ELECTRIC
    for component in components.values():
        if component.id == UNIDENTIFIED_COMPONENT or component.id in missing:
            continue
        if not has_engine and _is_of_engine(component):
            continue
        for zone in component.zones:
            yield Item(zone=zone, component=component.id)


def _is_of_engine(component: Component) -> bool:
    return component.group in _NEEDS_AN_ENGINE or component.id in _ENGINE_PARTS


def _found(case: Case, components: Components) -> Iterator[Item]:
    for finding in case.open_findings:
        yield from items_with(finding, components)


def _written_down(case: Case) -> Iterator[Item]:
    for entry in case.inspection:
        if isinstance(entry.what, ItemsInspected):
            yield from entry.what.items
