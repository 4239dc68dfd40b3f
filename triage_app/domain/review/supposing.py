"""What may still be filled in: a change that takes something down only then is found with these.

Each yields pairs, the old and the new with the same thing supposed of what neither says.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from typing import Final

from rules import UNIDENTIFIED_COMPONENT, UNIDENTIFIED_DAMAGE, Powertrain, Rulebook
from triage_app.domain.case import Case, Tags

# The mildest that can be said of a size, a distance and a way of measuring.
_MILDEST_MEASURES: Final = {
    "distance_to_hv_mm": 10_000.0,
    "distance_uncertainty_mm": 0.0,
    "covers_off": True,
    "length_mm": 0.0,
    "width_mm": 0.0,
    "depth_mm": 0.0,
}
_MILDEST_TAGS: Final = {"hv_conductor_visible": False, "hangs_free": False}
_VOLTAGES: Final = (None, 48.0, 400.0)


def supposed_cars(old: Case, new: Case) -> Iterator[tuple[Case, Case]]:
    """Yield the two with a voltage and a kind of drive supposed, where the new knows none."""
    car = new.vehicle
    if (old.vehicle.system_voltage_v, old.vehicle.powertrain) == (
        car.system_voltage_v,
        car.powertrain,
    ):
        return
    volts = _VOLTAGES if car.system_voltage_v is None else (None,)
    drives = tuple(Powertrain) if car.powertrain is Powertrain.UNKNOWN else (None,)
    for volt, drive in product(volts, drives):
        supposed: dict[str, object] = {}
        if volt is not None:
            supposed["system_voltage_v"] = volt
        if drive is not None:
            supposed["powertrain"] = drive
        if supposed:
            yield _with_car(old, supposed), _with_car(new, supposed)


def supposed_tags(old: Tags, new: Tags, book: Rulebook) -> Iterator[tuple[Tags, Tags]]:
    """Yield the two with a part, a damage, a place and sizes supposed, where the new says none."""
    components: Sequence[object] = (new.component,)
    if new.component is None:
        components = [one for one in book.components if one != UNIDENTIFIED_COMPONENT]
    damages: Sequence[object] = (new.damage,)
    if new.damage is None:
        damages = [one for one in book.damage_types if one != UNIDENTIFIED_DAMAGE]
    zones: Sequence[object] = (new.zone,)
    if new.zone is None and new.component is not None:
        zones = (None, *book.zones)
    named = {"component": components, "damage": damages, "zone": zones}
    unsaid = [name for name in named if getattr(new, name) is None]
    for values in product(*(named[name] for name in unsaid)):
        supposed = dict(zip(unsaid, values, strict=True))
        yield _with(old, supposed, {}), _with(new, supposed, {})
        tags, sizes = _mildest(new)
        yield _with(old, supposed | tags, sizes), _with(new, supposed | tags, sizes)


def _mildest(new: Tags) -> tuple[dict[str, object], dict[str, object]]:
    tags = {name: value for name, value in _MILDEST_TAGS.items() if getattr(new, name) is None}
    sizes = {
        name: value
        for name, value in _MILDEST_MEASURES.items()
        if getattr(new.measures, name) is None
    }
    return dict(tags), dict(sizes)


def _with(tags: Tags, supposed: dict[str, object], sizes: dict[str, object]) -> Tags:
    measures = replace(tags.measures, **sizes)  # type: ignore[arg-type]  # names of its own
    return replace(tags, **supposed, measures=measures)  # type: ignore[arg-type]  # as above


def _with_car(case: Case, supposed: dict[str, object]) -> Case:
    return replace(case, vehicle=replace(case.vehicle, **supposed))  # type: ignore[arg-type]  # as above
