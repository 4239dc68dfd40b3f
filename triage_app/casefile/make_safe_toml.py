"""The make-safe record in a case file: each ``[[make_safe]]`` is one entry, in order.

Times may be told as "40 min ago" and dates as "30 days ago" or "90 days from now", so that an
example stays true whenever it is run.
"""

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final

from pydantic import BaseModel, ConfigDict, Field

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.isolation import CurrentSystem
from triage_app.domain.safing.entries import (
    Current,
    Happening,
    Keeping,
    MeterCategory,
    WatchSign,
)
from triage_app.domain.safing.layouts import HvUnit
from triage_app.domain.safing.steps import Step

_AGO: Final = re.compile(r"(\d{1,6}) (s|min|h|days?) (ago|from now)")
_UNITS: Final = {"s": "seconds", "min": "minutes", "h": "hours", "day": "days", "days": "days"}
_TIME = "a TOML date and time with its zone, or such as '40 min ago'"
_DATE = "a TOML date, or such as '30 days ago' or '90 days from now'"


class StrictTable(BaseModel):
    """A table of a case file: no field that is not named, no value of another kind."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class InstrumentTable(StrictTable):
    """What was measured with. What is absent is not known."""

    name: str = Field(description="What it is.")
    serial: str = Field(default="", description="Serial number.")
    category: MeterCategory | None = Field(default=None, description="Measurement category.")
    rated_v: float | None = Field(default=None, description="Rated for so many volts.")
    calibration_due: str = Field(default="", description=f"Calibrated until: {_DATE}.")


class ProcedureTable(StrictTable):
    """The maker's procedure, with the two figures that the record needs of it."""

    document: str = Field(description="The maker's document.")
    document_date: str = Field(description="Its date or edition, or 'undated'.")
    discharge_min: float | None = Field(
        default=None, description="Discharge time in minutes, the maker's figure."
    )
    limit_dc_v: float | None = Field(
        default=None, description="The maker's limit in V DC; 60 V DC is the ceiling."
    )


class GlovesTable(StrictTable):
    """Gloves, protection and who wears them."""

    reader: str = Field(description="Who wears the gloves and reads; not whoever records.")
    glove_class: str = Field(description="Class of the gloves: 00, 0, 1, 2, 3 or 4.")
    tested_on: str = Field(default="", description=f"Last test: {_DATE}.")
    issued_on: str = Field(default="", description=f"In service since: {_DATE}.")
    air_tested_today: bool = Field(default=False, description="Air test done today.")
    leather_over_rubber: bool = Field(default=False, description="Leather over rubber.")
    face_and_arc: bool = Field(default=False, description="Face and arc protection on.")


class LayoutTable(StrictTable):
    """The units of the high-voltage system that this car has."""

    units: tuple[HvUnit, ...] = Field(description="Units of our list that are fitted.")
    extra: tuple[str, ...] = Field(default=(), description="Further units and cables.")
    document: str = Field(
        default="", description="The maker's document that shows it; needed to leave a unit out."
    )


class IsolationTable(StrictTable):
    """Isolation of one island: the readings of one method."""

    island: str = Field(description="Name of the island.")
    working_v: float = Field(description="Working voltage in V.")
    carries: CurrentSystem = Field(
        default=CurrentSystem.UNKNOWN, description="What the island carries."
    )
    two_voltages: tuple[float, float, float, float, float] | None = Field(
        default=None, description="[Vb, V1, V2, known resistor in ohm, V with the resistor]."
    )
    tester: tuple[float, float, float] | None = Field(
        default=None, description="[positive in ohm, negative in ohm, test voltage in V]."
    )
    instrument: str = Field(description="What it was measured with.")
    procedure: str = Field(description="The maker's procedure: document, page.")


class MakeSafeTable(StrictTable):
    """One entry: exactly one of step, point, place, happened, layout and isolation."""

    at: str = Field(default="", description=f"When it was done: {_TIME}; else now.")
    recorded_by: str = Field(
        default="", description="Who recorded it, the second person; else whoever runs the file."
    )
    note: str = Field(default="", description="Anything else, in plain words.")
    photo: str | None = Field(default=None, description="Name (or file) of a photo that shows it.")
    again: bool = Field(default=False, description="It was done once more.")
    step: Step | None = Field(default=None, description="The step that was done.")
    reference: str = Field(
        default="",
        description="What the step has to name: barrier, sources, lock and tag, the known source "
        "of a proof, the place of the first temperature.",
    )
    instead: str = Field(
        default="", description="What was done instead by the maker's procedure, and why."
    )
    value: float | None = Field(default=None, description="Value of the step: V, or °C.")
    instrument: InstrumentTable | None = Field(default=None, description="``instrument``")
    procedure: ProcedureTable | None = Field(default=None, description="``procedure``")
    gloves: GlovesTable | None = Field(default=None, description="``gloves``")
    point: str | None = Field(default=None, description="Name of the test point that was read.")
    turn: int = Field(default=1, description="First (1) or second (2) reading of the point.")
    volts: tuple[float, float, float] | None = Field(
        default=None, description="[HV+ to HV-, HV+ to chassis, HV- to chassis] in V."
    )
    current: Current = Field(default=Current.DC, description="Kind of voltage.")
    contact_confirmed: bool = Field(default=False, description="Probe contact was confirmed.")
    place: str | None = Field(default=None, description="Where a temperature was read.")
    celsius: float | None = Field(default=None, description="The temperature in °C.")
    ambient_c: float | None = Field(default=None, description="The air in °C.")
    signs: tuple[WatchSign, ...] = Field(default=(), description="Signs that were noticed.")
    kept: Keeping = Field(default=Keeping.UNKNOWN, description="How the car is kept away.")
    happened: Happening | None = Field(default=None, description="What happened to the car.")
    layout: LayoutTable | None = Field(default=None, description="``layout``")
    isolation: IsolationTable | None = Field(default=None, description="``isolation``")

    @property
    def is_of_one_kind(self) -> bool:
        kinds = (
            self.step,
            self.point,
            self.place,
            self.happened,
            self.layout,
            self.isolation,
        )
        return sum(kind is not None for kind in kinds) == 1


def moment_from(text: str, now: datetime) -> datetime | None:
    """Return the time that a case file states, or None for none; raises InvalidInputError."""
    if not text:
        return None
    relative = _relative(text)
    if relative is not None:
        return now + relative
    try:
        stated = datetime.fromisoformat(text)
    except ValueError:
        stated = None
    if stated is None or stated.tzinfo is None:
        raise InvalidInputError(f"'{text[:40]}' is no time; give {_TIME}")
    return stated.astimezone(UTC)


def day_from(text: str, now: datetime) -> date | None:
    """Return the date that a case file states, or None for none; raises InvalidInputError."""
    if not text:
        return None
    relative = _relative(text)
    if relative is not None:
        return (now + relative).date()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InvalidInputError(f"'{text[:40]}' is no date; give {_DATE}") from None


def _relative(text: str) -> timedelta | None:
    found = _AGO.fullmatch(text)
    if found is None:
        return None
    count, unit, way = found.groups()
    length = timedelta(**{_UNITS[unit]: int(count)})
    return -length if way == "ago" else length
