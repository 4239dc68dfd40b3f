"""A case with only what a change fills in: what nobody had said before, and what it adds.

What is not known counts as worse, so whoever fills it in may make an answer milder. Changing what
was said is another thing; against this case it shows.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from rules import Powertrain
from triage_app.domain.case import Case, Finding, Tags
from triage_app.domain.vehicle import Vehicle

_SAID_OF_TAGS: Final = ("component", "damage", "zone", "side", "hv_conductor_visible", "hangs_free")
_SAID_OF_MEASURES: Final = (
    "distance_to_hv_mm",
    "distance_uncertainty_mm",
    "covers_off",
    "length_mm",
    "width_mm",
    "depth_mm",
)


def filled_in(before: Case, after: Case) -> Case:
    """Return ``before`` with what it did not say taken from ``after``, and nothing else of it."""
    return replace(
        before,
        findings=tuple(_filled(was, after.find_finding(was.id)) for was in before.findings),
        vehicle=filled_in_car(before.vehicle, after.vehicle),
        impact_line=before.impact_line or after.impact_line,
    )


def filled_in_car(old: Vehicle, new: Vehicle) -> Vehicle:
    """Return the new car with what was known of the old one's drive and voltage."""
    volts, drive = old.system_voltage_v, old.powertrain
    return replace(
        new,
        system_voltage_v=new.system_voltage_v if volts is None else volts,
        powertrain=new.powertrain if drive is Powertrain.UNKNOWN else drive,
    )


def said(tags: Tags) -> Iterator[tuple[str, object]]:
    """Yield everything of a finding that the rules ask, by name; None is not said."""
    for name in _SAID_OF_TAGS:
        yield name, getattr(tags, name)
    for name in _SAID_OF_MEASURES:
        yield name, getattr(tags.measures, name)


def is_cleared(old: Tags, new: Tags) -> bool:
    """Tell whether something that was said is not said any more, to be said otherwise later."""
    now = dict(said(new))
    return any(value is not None and now[name] is None for name, value in said(old))


def is_car_cleared(old: Vehicle, new: Vehicle) -> bool:
    """Tell whether the voltage or the kind of drive was known and is so no more."""
    volts = old.system_voltage_v is not None and new.system_voltage_v is None
    drive = old.powertrain is not Powertrain.UNKNOWN and new.powertrain is Powertrain.UNKNOWN
    return volts or drive


def _filled(was: Finding, is_now: Finding | None) -> Finding:
    if is_now is None or is_now.tags == was.tags:
        return was
    old, new = was.tags, is_now.tags
    tags = {name: _first(getattr(old, name), getattr(new, name)) for name in _SAID_OF_TAGS}
    sizes = {
        name: _first(getattr(old.measures, name), getattr(new.measures, name))
        for name in _SAID_OF_MEASURES
    }
    # A source says where a size is from, and drops out by itself where the size is another.
    sources = (*old.measures.sources, *new.measures.sources)
    measures = replace(old.measures, **sizes, sources=sources)  # type: ignore[arg-type]  # own names
    return replace(was, tags=replace(old, **tags, measures=measures))  # type: ignore[arg-type]  # as above


def _first(old: object, new: object) -> object:
    return new if old is None else old
