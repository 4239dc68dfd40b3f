"""Where a car's high-voltage system has its units: templates as data, edited per vehicle.

Which units a car has is the maker's word. As long as nobody chose a layout, every unit of the
list counts as fitted.
"""

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from importlib.resources import files
from typing import Final

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import checked_text

MAX_EXTRA_UNITS: Final = 12


class HvUnit(StrEnum):
    """A unit of the high-voltage system at which voltage is read."""

    BATTERY_OUTPUT = "battery output"
    FRONT_DRIVE_UNIT = "front drive unit"
    REAR_DRIVE_UNIT = "rear drive unit"
    CHARGER = "on-board charger"
    DC_DC = "DC-DC converter"
    COMPRESSOR = "A/C compressor"
    HEATER = "HV heater"
    JUNCTION = "HV junction box"

    @property
    def holds_capacitors(self) -> bool:
        """True for a unit that can keep a charge of its own."""
        return self in _WITH_CAPACITORS


_WITH_CAPACITORS = {
    HvUnit.FRONT_DRIVE_UNIT,
    HvUnit.REAR_DRIVE_UNIT,
    HvUnit.CHARGER,
    HvUnit.DC_DC,
    HvUnit.COMPRESSOR,
    HvUnit.HEATER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutTemplate:
    """A layout to start from; ``hv_layouts.toml`` beside this module holds them all."""

    name: str
    units: tuple[HvUnit, ...]
    extra: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HvLayout:
    """The units that a car has, and where that was read.

    ``extra`` names units and cables beyond our list, each a test point of its own. Raises
    InvalidInputError where a unit is left out and no document says so, or where the battery output
    is missing.
    """

    units: tuple[HvUnit, ...] = tuple(HvUnit)
    extra: tuple[str, ...] = ()
    document: str = ""

    def __post_init__(self) -> None:
        document = checked_text(self.document, "The maker's layout")
        extra = tuple(dict.fromkeys(checked_text(name, "The unit or cable") for name in self.extra))
        if "" in extra or len(extra) > MAX_EXTRA_UNITS:
            raise InvalidInputError(f"Name at most {MAX_EXTRA_UNITS} further units or cables.")
        if HvUnit.BATTERY_OUTPUT not in self.units:
            raise InvalidInputError("Every car has a battery output; it stays a test point.")
        if self.left_out and not document:
            named = ", ".join(self.left_out)
            raise InvalidInputError(
                f"Say which document of the maker shows that the car has no {named}; without one "
                "every unit counts as fitted."
            )
        object.__setattr__(self, "document", document)
        object.__setattr__(self, "extra", extra)
        object.__setattr__(self, "units", tuple(unit for unit in HvUnit if unit in self.units))

    @property
    def left_out(self) -> tuple[HvUnit, ...]:
        """The units of our list that this car is said not to have."""
        return tuple(unit for unit in HvUnit if unit not in self.units)


def _templates() -> tuple[LayoutTemplate, ...]:
    """Read the templates; KeyError or ValueError for one that names an unknown unit."""
    held = tomllib.loads(files(__package__).joinpath("hv_layouts.toml").read_text(encoding="utf-8"))
    return tuple(
        LayoutTemplate(
            name=row["name"],
            units=tuple(HvUnit(name) for name in row["units"]),
            extra=tuple(row.get("extra", ())),
        )
        for row in held["layout"]
    )


TEMPLATES: Final = _templates()
