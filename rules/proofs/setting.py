"""The facts of one finding as the proofs turn them: few values each, from mild to bad."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rules.condition import Check
from rules.model import Facts, VehicleFacts
from rules.rulebook import Rulebook
from rules.seen import Seen, see
from rules.terms import MAX_SYSTEM_VOLTAGE_V, ComponentId, DamageId, Powertrain, ZoneId

Value = float | bool | str | None
Setting = Mapping[str, Value]
Pair = tuple[ComponentId, DamageId]

FAR_MM, LIMITED_MM, RESTRICTED_MM = 5000.0, 1000.0, 300.0
LOW_V, HIGH_V = 48.0, 400.0

FACTS_OF_QUESTION: Mapping[str, tuple[str, ...]] = {
    "depth_mm_min": ("depth_mm",),
    "depth_not_measured": ("depth_mm",),
    "length_mm_min": ("length_mm",),
    "length_not_measured": ("length_mm",),
    "hv_within_mm": ("distance_to_hv_mm", "distance_uncertainty_mm", "covers_off"),
    "distance_unknown": ("distance_to_hv_mm", "distance_uncertainty_mm", "covers_off"),
    "hv_zone": ("zone",),
    "near_hv_zone": ("zone",),
    "conductor_visible": ("hv_conductor_visible",),
    "near_orange": ("near_orange_area",),
    "voltage_v_over": ("powertrain", "system_voltage_v"),
    "hangs_free": ("hangs_free",),
    "on_impact_line": ("on_impact_line",),
    "battery_bolted_here": ("zone",),
}


@dataclass(frozen=True, slots=True)
class Order:
    """The values of one fact that make a difference, and the steps from milder to worse."""

    values: tuple[Value, ...]
    steps: tuple[tuple[Value, Value], ...]


def chain(*values: Value) -> Order:
    """Return the order in which each value is worse than the one before it."""
    return Order(values, tuple(pairwise(values)))


def orders(book: Rulebook, checks: Sequence[Check]) -> Mapping[str, Order]:
    """Return the order of every fact that the checks ask for. None is "nobody said".

    Two steps are left out on purpose. Unknown is as bad as a conductor in sight only where
    something open guards high voltage. And covers that are on are to the rules the same as covers
    of which nobody spoke (``Seen.may_clear``).
    """
    order = {
        "depth_mm": chain(0.0, *_limits(checks, "depth_mm_min"), None),
        "length_mm": chain(0.0, *_limits(checks, "length_mm_min"), None),
        "distance_to_hv_mm": _distances(checks),
        "distance_uncertainty_mm": chain(0.0, LIMITED_MM, None),
        "covers_off": Order((True, None), ((True, None),)),
        "hv_conductor_visible": Order((False, True, None), ((False, True), (False, None))),
        "on_impact_line": Order((False, True, None), ((False, True), (False, None))),
        "near_orange_area": Order((False, True), ((False, True),)),
        "zone": chain(*zones_without_and_with_hv(book), None),
        "powertrain": chain(Powertrain.MILD_HYBRID_48V, Powertrain.UNKNOWN),
        "hangs_free": Order((False, True, None), ((False, True), (True, None))),
        "system_voltage_v": chain(LOW_V, HIGH_V, *_higher_voltages(checks), None),
    }
    return {fact: order[fact] for fact in facts_of(checks)}


def _distances(checks: Sequence[Check]) -> Order:
    """Return the distances at every limit. Nobody said is as bad as near: it comes after each."""
    limits = {LIMITED_MM, RESTRICTED_MM, *_limits(checks, "hv_within_mm")}
    measured = (FAR_MM, *sorted(limits, reverse=True))
    return Order((*measured, None), (*pairwise(measured), *((one, None) for one in measured)))


def _higher_voltages(checks: Sequence[Check]) -> list[float]:
    """Return voltages just above the limits that the usual ones do not reach."""
    limits = _limits(checks, "voltage_v_over")
    return [min(limit + 1.0, MAX_SYSTEM_VOLTAGE_V) for limit in limits if limit >= HIGH_V]


def facts_of(checks: Sequence[Check]) -> tuple[str, ...]:
    """Return the names of the facts that the checks ask for."""
    return tuple(sorted({fact for check in checks for fact in FACTS_OF_QUESTION[check.key]}))


def zones_without_and_with_hv(book: Rulebook) -> tuple[ZoneId, ...]:
    """Return one zone without high voltage and one with it, where the book has them.

    The one with it is one to which the battery is bolted, where there is such a one.
    """
    zones = sorted(book.zones.values(), key=lambda zone: zone.battery_bolted_here)
    found = {zone.hv_runs_here: zone.id for zone in zones}
    return tuple(found[runs_here] for runs_here in (False, True) if runs_here in found)


def plain_settings(book: Rulebook) -> tuple[Setting, Setting]:
    """Return everything unknown, and everything known and mild."""
    mild: Setting = {
        "depth_mm": 0.0,
        "length_mm": 0.0,
        "distance_to_hv_mm": FAR_MM,
        "distance_uncertainty_mm": 0.0,
        "covers_off": True,
        "hv_conductor_visible": False,
        "on_impact_line": False,
        "zone": zones_without_and_with_hv(book)[0],
        "powertrain": Powertrain.MILD_HYBRID_48V,
        "system_voltage_v": HIGH_V,
    }
    return {}, mild


def seen_in(book: Rulebook, pair: Pair, setting: Setting) -> Seen:
    """Return a finding of this pair with these facts; what is not set is unknown."""
    facts = Facts(
        finding_id="",
        component=pair[0],
        damage=pair[1],
        zone=None if (zone := setting.get("zone")) is None else ZoneId(str(zone)),
        depth_mm=_number(setting.get("depth_mm")),
        length_mm=_number(setting.get("length_mm")),
        distance_to_hv_mm=_number(setting.get("distance_to_hv_mm")),
        distance_uncertainty_mm=_number(setting.get("distance_uncertainty_mm")),
        covers_off=_flag(setting.get("covers_off")),
        hv_conductor_visible=_flag(setting.get("hv_conductor_visible")),
        hangs_free=_flag(setting.get("hangs_free")),
        on_impact_line=_flag(setting.get("on_impact_line")),
        near_orange_area=bool(setting.get("near_orange_area")),
    )
    vehicle = VehicleFacts(
        system_voltage_v=_number(setting.get("system_voltage_v")),
        powertrain=Powertrain(str(setting.get("powertrain", Powertrain.UNKNOWN))),
        signs={},
    )
    return see(facts, vehicle, book.vocabulary)


def _limits(checks: Sequence[Check], key: str) -> list[float]:
    return sorted({check.limit for check in checks if check.key == key})


def _number(value: Value) -> float | None:
    return value if isinstance(value, float) else None


def _flag(value: Value) -> bool | None:
    return value if isinstance(value, bool) else None
