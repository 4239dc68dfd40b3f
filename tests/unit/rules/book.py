"""The rule book once for all rule tests, and findings in one line."""

from functools import cache

from rules import (
    Assessment,
    CaseAssessment,
    CaseFacts,
    ComponentId,
    DamageId,
    Facts,
    Powertrain,
    Rulebook,
    VehicleFacts,
    ZoneId,
    assess,
    load_rulebook,
)


@cache
def the_book() -> Rulebook:
    return load_rulebook()


NO_SIGNS = dict.fromkeys(sorted(the_book().signs), False)


def a_finding(component: str | None = None, damage: str | None = None, **facts: object) -> Facts:
    """Return a finding; what is not named is unknown. ``at`` measures a distance properly."""
    known = dict(facts)
    if "at" in known:
        known |= {
            "distance_to_hv_mm": known.pop("at"),
            "distance_uncertainty_mm": known.get("distance_uncertainty_mm", 10.0),
            "covers_off": True,
        }
    if component is not None:
        known["component"] = ComponentId(component)
    if damage is not None:
        known["damage"] = DamageId(damage)
    if "zone" in known:
        known["zone"] = ZoneId(str(known["zone"]))
    return Facts(**{"finding_id": "1", **known})  # type: ignore[arg-type]  # names are the fields'


def a_car(volts: float | None = 400.0, drive: Powertrain | None = None) -> VehicleFacts:
    """Return a car without signs; one of 12 to 60 V is a 48 V mild hybrid unless said otherwise."""
    is_low = volts is not None and volts <= 60
    usual = Powertrain.MILD_HYBRID_48V if is_low else Powertrain.BATTERY_ELECTRIC
    return VehicleFacts(system_voltage_v=volts, powertrain=drive or usual, signs=NO_SIGNS)


def judge_case(
    *findings: Facts, volts: float | None = 400.0, drive: Powertrain | None = None
) -> CaseAssessment:
    return assess(CaseFacts(vehicle=a_car(volts, drive), findings=findings), the_book())


def judge(
    component: str | None = None,
    damage: str | None = None,
    *,
    volts: float | None = 400.0,
    drive: Powertrain | None = None,
    **facts: object,
) -> Assessment:
    """Return what the book says of one finding alone."""
    return judge_case(a_finding(component, damage, **facts), volts=volts, drive=drive).findings[0]
