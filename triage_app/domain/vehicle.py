"""The car and what happened to it, as written down at intake. Absent is ``None``: not known."""

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from rules import Powertrain
from triage_app.domain.errors import InvalidInputError

MAX_TEXT = 4_000

# The warning signs on arrival, in the order in which they are asked; the rule book knows each.
SIGNS = (
    "smoke",
    "fire",
    "hissing",
    "popping",
    "odour",
    "rising_temperature",
    "swelling",
    "water",
    "battery_leak",
    "broken_battery_mounts",
    "crushed_lifting_points",
)

_VIN_VALUES = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_VIN_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_VIN_CHECK_POSITION = 8


class Answer(StrEnum):
    """Yes, no, or not known. Not known counts as worse."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


def checked_text(text: str, what: str) -> str:
    """Return ``text`` trimmed, without control characters; InvalidInputError if over-long."""
    kept = "".join(c for c in text if c in "\n\t" or (c.isprintable() and c != "\ufffe")).strip()
    if len(kept) > MAX_TEXT:
        raise InvalidInputError(f"{what} is longer than {MAX_TEXT} characters.")
    return kept


def checked_number(value: float | None, what: str, low: float, high: float) -> float | None:
    """Return ``value`` if it is None or a number from ``low`` to ``high``."""
    if value is None:
        return None
    if not math.isfinite(value) or not low <= value <= high:
        raise InvalidInputError(f"{what} must be between {low:g} and {high:g}, got {value:g}.")
    return value


def vin_check_digit(vin: str) -> str:
    """Return the check digit that belongs in position 9 (49 CFR 565.15, from memory).

    North American rule; elsewhere position 9 may hold anything, so a mismatch is pointed out and
    never refused. Raises InvalidInputError if ``vin`` has letters that no VIN has (ISO 3779).
    """
    if len(vin) != len(_VIN_WEIGHTS) or any(letter not in _VIN_VALUES for letter in vin):
        raise InvalidInputError("A VIN has 17 letters and digits, without I, O and Q.")
    total = sum(_VIN_VALUES[c] * w for c, w in zip(vin, _VIN_WEIGHTS, strict=True))
    return "X" if total % 11 == 10 else str(total % 11)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The car. ``system_voltage_v`` is the highest DC voltage of its HV system."""

    description: str = ""
    plate: str = ""
    vin: str | None = None
    powertrain: Powertrain = Powertrain.UNKNOWN
    system_voltage_v: float | None = None
    battery_energy_kwh: float | None = None
    battery_chemistry: str = ""
    charge_on_arrival_percent: float | None = None
    odometer_km: float | None = None

    def __post_init__(self) -> None:
        for name, what in (
            ("description", "The vehicle description"),
            ("plate", "The plate"),
            ("battery_chemistry", "The battery chemistry"),
        ):
            object.__setattr__(self, name, checked_text(getattr(self, name), what))
        if self.vin is not None:
            vin = self.vin.strip().upper() or None
            if vin is not None:
                vin_check_digit(vin)
            object.__setattr__(self, "vin", vin)
        checked_number(self.system_voltage_v, "The system voltage in volts", 0, 1500)
        checked_number(self.battery_energy_kwh, "The battery energy in kWh", 0, 1000)
        checked_number(self.charge_on_arrival_percent, "The charge in per cent", 0, 100)
        checked_number(self.odometer_km, "The odometer in km", 0, 5_000_000)

    @property
    def vin_check_digit_differs(self) -> bool:
        """True when a VIN is given and its ninth character is not the check digit."""
        return self.vin is not None and vin_check_digit(self.vin) != self.vin[_VIN_CHECK_POSITION]


@dataclass(frozen=True, slots=True, kw_only=True)
class Incident:
    """What happened, in the words of whoever brought the car, and the signs seen on arrival.

    A sign that an older record does not have is not known, and counts as worse.
    """

    happened_on: str = ""
    what_happened: str = ""
    arrived_how: str = ""
    insurer_reference: str = ""
    pre_loss_value: Decimal | None = None
    currency: str = ""
    smoke: Answer = Answer.UNKNOWN
    fire: Answer = Answer.UNKNOWN
    water: Answer = Answer.UNKNOWN
    hissing: Answer = Answer.UNKNOWN
    odour: Answer = Answer.UNKNOWN
    popping: Answer = Answer.UNKNOWN
    rising_temperature: Answer = Answer.UNKNOWN
    swelling: Answer = Answer.UNKNOWN
    battery_leak: Answer = Answer.UNKNOWN
    broken_battery_mounts: Answer = Answer.UNKNOWN
    crushed_lifting_points: Answer = Answer.UNKNOWN

    def __post_init__(self) -> None:
        for name, what in (
            ("happened_on", "The date of the incident"),
            ("what_happened", "The description of the incident"),
            ("arrived_how", "How the car arrived"),
            ("insurer_reference", "The insurer's reference"),
            ("currency", "The currency"),
        ):
            object.__setattr__(self, name, checked_text(getattr(self, name), what))
        value = self.pre_loss_value
        if value is not None and not (value.is_finite() and 0 <= value < 10**9):
            raise InvalidInputError("The pre-loss value must be between 0 and 1,000,000,000.")

    @property
    def signs(self) -> dict[str, bool | None]:
        """The warning signs by name: yes, no, or None for not known."""
        known = {Answer.YES: True, Answer.NO: False, Answer.UNKNOWN: None}
        return {name: known[getattr(self, name)] for name in SIGNS}
