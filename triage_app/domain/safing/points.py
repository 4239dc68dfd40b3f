"""The test points of a car: from its high-voltage layout and from what was found damaged.

Zero at one end of a severed cable says nothing about the other: the two ends, and each unit, are
then islands of their own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from rules import UNIDENTIFIED_COMPONENT, Component, ComponentId
from triage_app.domain.case import Case, Finding
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.safing.layouts import HvLayout, HvUnit

WHOLE_BUS: Final = "the high-voltage bus outside the battery"
# Only these leave a conductor whole for certain. Judgement; every other damage counts as parted.
SURFACE_DAMAGE: Final = frozenset({"scrape", "coating_loss", "corrosion", "contamination"})
_CONDUCTOR_GROUP = "hv_conductor"
_NO_POINT_GROUPS = frozenset({"hv_bonding"})
_BATTERY_GROUPS = frozenset({"pack", "pack_coolant", "pack_mount"})
_UNITS: Final = {
    "front_drive_unit": HvUnit.FRONT_DRIVE_UNIT,
    "rear_drive_unit": HvUnit.REAR_DRIVE_UNIT,
    "onboard_charger": HvUnit.CHARGER,
    "dc_dc_converter": HvUnit.DC_DC,
    "ac_compressor": HvUnit.COMPRESSOR,
    "hv_heater": HvUnit.HEATER,
    "hv_junction_box": HvUnit.JUNCTION,
}

Components = Mapping[ComponentId, Component]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPoint:
    """Where voltage is read. ``because`` says what makes it a point, ``island`` what it is of."""

    __test__ = False

    id: str
    name: str
    because: str
    island: str


def layout_of(case: Case) -> HvLayout | None:
    """Return the layout that was last chosen for this car, or None when nobody chose one."""
    chosen = [entry.what for entry in case.safing if isinstance(entry.what, LayoutChosen)]
    return chosen[-1].layout if chosen else None


def points_of(case: Case, components: Components) -> tuple[TestPoint, ...]:
    """Return every point that has to be read on this car, each once, units first."""
    layout = layout_of(case) or HvLayout()
    is_parted = any(_is_parted(finding, components) for finding in case.open_findings)
    found: dict[str, TestPoint] = {}
    damaged = _found(case, components, is_parted=is_parted)
    for point in (*_unit_points(layout, is_parted=is_parted), *damaged):
        found.setdefault(point.id, point)
    return tuple(found.values())


def islands_of(points: tuple[TestPoint, ...]) -> tuple[str, ...]:
    """Return the islands, in the order of their first point."""
    return tuple(dict.fromkeys(point.island for point in points))


def unnamed_findings(case: Case) -> tuple[Finding, ...]:
    """Return the findings that nobody has named yet; no point can be derived from them."""
    return tuple(
        finding
        for finding in case.open_findings
        if finding.tags.component is None and finding.tags.damage is None
    )


def _unit_points(layout: HvLayout, *, is_parted: bool) -> Iterator[TestPoint]:
    for unit in layout.units:
        why = "it can hold a charge of its own" if unit.holds_capacitors else "a unit of the layout"
        yield TestPoint(
            id=f"unit:{unit.name.lower()}",
            name=unit.value,
            because=why,
            island=unit.value if is_parted else WHOLE_BUS,
        )
    for name in layout.extra:
        yield TestPoint(
            id=f"extra:{name}",
            name=name,
            because="named in the layout of this car",
            island=name if is_parted else WHOLE_BUS,
        )


def _found(case: Case, components: Components, *, is_parted: bool) -> Iterator[TestPoint]:
    for finding in case.open_findings:
        if _is_parted(finding, components):
            yield from _ends(finding, components)
        elif finding.tags.hv_conductor_visible:
            because = "an HV conductor shows there"
            yield _own_point(finding, "conductor", because, is_parted=is_parted)
        else:
            yield from _damaged_unit(finding, components, is_parted=is_parted)


def _is_parted(finding: Finding, components: Components) -> bool:
    """Tell whether a finding may have parted the bus; not identified counts as an HV cable."""
    component, damage = finding.tags.component, finding.tags.damage
    if component is None and damage is None:
        return False
    if component is None or component == UNIDENTIFIED_COMPONENT:
        return damage == "severed" or finding.tags.hv_conductor_visible is True
    known = components.get(component)
    if known is None or known.group != _CONDUCTOR_GROUP:
        return False
    return damage is None or damage not in SURFACE_DAMAGE


def _ends(finding: Finding, components: Components) -> Iterator[TestPoint]:
    for end, where in (("battery", "towards the battery"), ("far", "away from the battery")):
        name = f"finding {finding.number}, {_part(finding, components)}: end {where}"
        yield TestPoint(
            id=f"finding:{finding.id}:{end}",
            name=name,
            because="a parted conductor: zero at one end says nothing about the other",
            island=name,
        )


def _damaged_unit(
    finding: Finding, components: Components, *, is_parted: bool
) -> Iterator[TestPoint]:
    component = finding.tags.component
    known = components.get(component) if component else None
    if known is None or not known.is_hv or known.group in _NO_POINT_GROUPS:
        return
    unit = _unit_of(known)
    if unit is None:
        because = "damaged part of the HV system"
        yield _own_point(finding, known.label, because, is_parted=is_parted)
        return
    yield TestPoint(
        id=f"unit:{unit.name.lower()}",
        name=unit.value,
        because="damaged, whatever the layout says",
        island=unit.value if is_parted else WHOLE_BUS,
    )


def _unit_of(component: Component) -> HvUnit | None:
    if component.group in _BATTERY_GROUPS:
        return HvUnit.BATTERY_OUTPUT
    return _UNITS.get(component.id) or _UNITS.get(component.like or "")


def _own_point(finding: Finding, what: str, because: str, *, is_parted: bool) -> TestPoint:
    name = f"finding {finding.number}: {what}"
    return TestPoint(
        id=f"finding:{finding.id}",
        name=name,
        because=because,
        island=name if is_parted else WHOLE_BUS,
    )


def _part(finding: Finding, components: Components) -> str:
    known = components.get(finding.tags.component) if finding.tags.component else None
    return known.label if known else "part not identified"
