"""Where a car's high-voltage system has its units: templates as data, edited per vehicle.

Which units a car has is the maker's word. As long as nobody chose a layout, every unit of the
list counts as fitted.
"""

from dataclasses import dataclass
from enum import StrEnum
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
_EVERYWHERE = (
    HvUnit.BATTERY_OUTPUT,
    HvUnit.CHARGER,
    HvUnit.DC_DC,
    HvUnit.COMPRESSOR,
    HvUnit.HEATER,
    HvUnit.JUNCTION,
)
# Invented shapes of ordinary cars, to start from; the maker's layout decides.
TEMPLATES: Final = {
    "every unit (layout not known)": tuple(HvUnit),
    "one drive unit, front": (*_EVERYWHERE, HvUnit.FRONT_DRIVE_UNIT),
    "one drive unit, rear": (*_EVERYWHERE, HvUnit.REAR_DRIVE_UNIT),
    "two drive units": tuple(HvUnit),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HvLayout:
    """The units that a car has, and where that was read.

    ``extra`` names units beyond our list. Raises InvalidInputError where a unit is left out and
    no document says so, or where the battery output is missing.
    """

    units: tuple[HvUnit, ...] = tuple(HvUnit)
    extra: tuple[str, ...] = ()
    document: str = ""

    def __post_init__(self) -> None:
        document = checked_text(self.document, "The maker's layout")
        extra = tuple(dict.fromkeys(checked_text(name, "The unit") for name in self.extra))
        if "" in extra or len(extra) > MAX_EXTRA_UNITS:
            raise InvalidInputError(f"Name at most {MAX_EXTRA_UNITS} further units.")
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
