"""A finding as the rules see it: its facts with the book's words looked up."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.model import Component, DamageType, Facts, TravelLine, VehicleFacts, Zone
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    ComponentId,
    DamageId,
    Powertrain,
    ZoneId,
)

# Below this no traction system works: the figure is a slip or a reading, so it clears nothing.
LEAST_BELIEVED_V = 12.0
# Voltage class A ends here (UN R100; 49 CFR 571.305 S4). Only a 48 V mild hybrid is driven by it.
CLASS_A_UP_TO_V_DC = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """The words by which a finding is looked up."""

    components: Mapping[ComponentId, Component]
    damage_types: Mapping[DamageId, DamageType]
    zones: Mapping[ZoneId, Zone]
    travel_lines: tuple[TravelLine, ...]

    def lines_through(self, zone: ZoneId) -> tuple[TravelLine, ...]:
        """Return the lines of travel on which the zone lies."""
        return tuple([line for line in self.travel_lines if zone in line.zones])


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is known of a finding.

    ``nearest_mm`` is the measured distance to HV less its uncertainty. ``may_clear`` is true only
    when it was measured with its uncertainty and with the covers off; ``not_measured`` names what
    is missing for that. ``voltage_v`` is None when ``given_voltage_v`` is unknown or not to be
    believed of this kind of drive.
    """

    facts: Facts
    component: Component
    damage: DamageType
    zone: Zone | None
    near_hv_zone: bool | None
    nearest_mm: float | None
    may_clear: bool
    not_measured: tuple[str, ...]
    voltage_v: float | None
    given_voltage_v: float | None


def see(facts: Facts, vehicle: VehicleFacts, words: Vocabulary) -> Seen:
    """Look a finding's words up. A word that the book does not have is not identified."""
    components, damage_types, zones = words.components, words.damage_types, words.zones
    zone = None if facts.zone is None else zones.get(facts.zone)
    missing = _missing_to_clear(facts)
    return Seen(
        facts=facts,
        component=components.get(facts.component) or components[UNIDENTIFIED_COMPONENT],
        damage=damage_types.get(facts.damage) or damage_types[UNIDENTIFIED_DAMAGE],
        zone=zone,
        near_hv_zone=None if zone is None else _is_near_hv(zone, zones),
        nearest_mm=_nearest_mm(facts),
        may_clear=not missing,
        not_measured=missing,
        voltage_v=believed_voltage_v(vehicle),
        given_voltage_v=vehicle.system_voltage_v,
    )


def believed_voltage_v(vehicle: VehicleFacts) -> float | None:
    """Return the system voltage as far as it may count; None is not known, and counts as high.

    A low figure takes flags off, so class A counts only for a car said to be a 48 V mild hybrid:
    on any other it is more likely a slip of the finger (40 for 400) than the truth.
    """
    volts = vehicle.system_voltage_v
    if volts is None or volts < LEAST_BELIEVED_V:
        return None
    is_class_a = volts <= CLASS_A_UP_TO_V_DC
    return None if is_class_a and vehicle.powertrain is not Powertrain.MILD_HYBRID_48V else volts


def _is_near_hv(zone: Zone, zones: Mapping[ZoneId, Zone]) -> bool:
    return zone.hv_runs_here or any(zones[other].hv_runs_here for other in zone.adjacent)


def _nearest_mm(facts: Facts) -> float | None:
    if facts.distance_to_hv_mm is None:
        return None
    return max(0.0, facts.distance_to_hv_mm - (facts.distance_uncertainty_mm or 0.0))


def _missing_to_clear(facts: Facts) -> tuple[str, ...]:
    missing: tuple[str, ...] = ()
    if facts.distance_to_hv_mm is None:
        missing += ("distance_to_hv_mm",)
    if facts.distance_uncertainty_mm is None:
        missing += ("distance_uncertainty_mm",)
    if facts.covers_off is not True:
        missing += ("covers_off",)
    return missing
