"""What a person writes down while a car is made safe. Nothing is edited: a later entry counts.

``Instrument`` is of the make-safe record, with its measurement category; voltages are in V,
temperatures in degrees Celsius, times of waiting in minutes.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import PhotoId, SafingId
from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.layouts import HvLayout
from triage_app.domain.safing.steps import Step
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_number, checked_text

MAX_V = 2_000.0


class MeterCategory(StrEnum):
    """Measurement category of a voltmeter (IEC 61010-1)."""

    CAT_II = "CAT II"
    CAT_III = "CAT III"
    CAT_IV = "CAT IV"


@dataclass(frozen=True, slots=True, kw_only=True)
class SafingInstrument:
    """What was measured with. None is not known, which no voltage reading may rest on."""

    name: str
    serial: str = ""
    category: MeterCategory | None = None
    rated_v: float | None = None
    calibration_due: date | None = None

    def __post_init__(self) -> None:
        _check_texts(self, name="The instrument", serial="The serial number")
        checked_number(self.rated_v, "The rated voltage of the instrument in V", 0, 10_000)
        if not self.name:
            raise InvalidInputError("Name the instrument.")

    def is_same_as(self, other: "SafingInstrument") -> bool:
        return (self.name.casefold(), self.serial) == (other.name.casefold(), other.serial)


@dataclass(frozen=True, slots=True, kw_only=True)
class MakerProcedure:
    """The maker's document, and the two figures that the record needs of it; None is not given."""

    document: str
    document_date: str
    discharge_min: float | None = None
    limit_dc_v: float | None = None

    def __post_init__(self) -> None:
        _check_texts(self, document="The document", document_date="The date of the document")
        checked_number(self.discharge_min, "The discharge time in minutes", 0, 24 * 60)
        checked_number(self.limit_dc_v, "The maker's limit in V", 0, MAX_V)
        if not (self.document and self.document_date):
            raise InvalidInputError(
                "Give the maker's document and its date or edition, or 'undated'."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """Gloves and people. ``issued_on`` None is not known: then the test date counts as it.

    ``reader`` wears the gloves and reads; whoever writes the entry is the second person.
    """

    reader: str
    glove_class: str
    gloves_tested_on: date | None = None
    gloves_issued_on: date | None = None
    air_tested_today: bool = False
    leather_over_rubber: bool = False
    face_and_arc: bool = False

    def __post_init__(self) -> None:
        reader = " ".join(checked_text(self.reader, "The name of the reader").split())
        if not 2 <= len(reader) <= 80:
            raise InvalidInputError("Name the person who wears the gloves and reads.")
        object.__setattr__(self, "reader", reader)
        glove = checked_text(self.glove_class, "The glove class").removeprefix("class ").strip()
        object.__setattr__(self, "glove_class", glove)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone:
    """A step that was done. Which of the fields are needed depends on the step.

    ``reference`` is whatever the step has to name: the lock and tag, the sources, the known
    source of a proof. ``instead`` says, with the reason, what was done in place of the step where
    the maker's procedure has it otherwise; ``reference`` then is that document and page.
    ``points`` are, for the last step, the test points that had to be read when it was done.
    """

    step: Step
    reference: str = ""
    instead: str = ""
    value: float | None = None
    unit: str = ""
    instrument: SafingInstrument | None = None
    procedure: MakerProcedure | None = None
    protection: Protection | None = None
    points: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _check_texts(self, reference="The reference", instead="What was done instead", unit="Unit")
        checked_number(self.value, "The value", -1e6, 1e6)
        if (self.value is None) != (not self.unit):
            raise InvalidInputError("A value and its unit go together.")


class Current(StrEnum):
    """Kind of voltage that was read."""

    DC = "DC"
    AC = "AC"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointReading:
    """The three voltages at one test point, read one after the other in V.

    ``turn`` is 1 for the first reading of the point and 2 for the second, some time later.
    """

    point_id: str
    point_name: str
    turn: int
    pole_to_pole_v: float
    positive_to_chassis_v: float
    negative_to_chassis_v: float
    current: Current = Current.DC
    contact_confirmed: bool = False

    def __post_init__(self) -> None:
        _check_texts(self, point_name="The test point")
        if self.turn not in (1, 2):
            raise InvalidInputError("A point is read twice: turn 1 and turn 2.")
        for volts in self.voltages:
            checked_number(volts, "The voltage in V", -MAX_V, MAX_V)

    @property
    def voltages(self) -> tuple[float, float, float]:
        """HV+ to HV-, HV+ to chassis, HV- to chassis, in V."""
        return (self.pole_to_pole_v, self.positive_to_chassis_v, self.negative_to_chassis_v)

    @property
    def highest_v(self) -> float:
        return max(abs(volts) for volts in self.voltages)


class Keeping(StrEnum):
    """How the car is kept away from what could burn with it."""

    DISTANCE = "15 m (50 ft) on every side"
    BARRIER = "barrier of concrete, steel, masonry or earth"
    NEITHER = "neither distance nor barrier"
    UNKNOWN = "not known"


class WatchSign(StrEnum):
    """What is looked and listened for at every reading of the temperature."""

    SMOKE = "smoke"
    HISSING = "hissing"
    POPPING = "popping"
    ODOUR = "odour"
    SWELLING = "swelling"


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureReading:
    """One reading of the watch, and what was seen and heard. Skin is not cell temperature."""

    place: str
    value_c: float
    ambient_c: float | None = None
    instrument: SafingInstrument
    signs: tuple[WatchSign, ...] = ()
    kept: Keeping = Keeping.UNKNOWN

    def __post_init__(self) -> None:
        _check_texts(self, place="The place")
        if not self.place:
            raise InvalidInputError("Say where on the battery the temperature was read.")
        checked_number(self.value_c, "The temperature in °C", -60, 1_000)
        checked_number(self.ambient_c, "The air temperature in °C", -60, 100)


class Happening(StrEnum):
    """What happened to the car that voids the record, or starts it afresh."""

    BEGIN_AGAIN = "begun again"
    LOW_VOLTAGE_RECONNECTED = "12 V reconnected"
    DISCONNECT_REFITTED = "service disconnect refitted"
    CHARGER_CONNECTED = "charger connected"
    LOCK_REMOVED = "lock removed"
    WHEEL_TURNED = "wheel turned"
    VEHICLE_MOVED = "vehicle moved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """Something that happened to the car."""

    what: Happening


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutChosen:
    """The units that this car has, chosen by a named person."""

    layout: HvLayout


Entered = (
    StepDone | PointReading | TemperatureReading | Happened | LayoutChosen | IsolationMeasurement
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SafingEntry:
    """One entry of the record. ``number`` counts from 1.

    ``recorded`` is who entered it and when, by the program's clock; ``done_at`` is when it was
    done, the same moment unless it was written in later.
    """

    id: SafingId
    number: int
    what: Entered
    done_at: datetime
    note: str = ""
    photo_id: PhotoId | None = None
    recorded: Signed

    def __post_init__(self) -> None:
        _check_texts(self, note="The note")
        if self.done_at.tzinfo is None:
            raise InvalidInputError("A time on record has a time zone.")
        object.__setattr__(self, "done_at", self.done_at.astimezone(UTC))


def _check_texts(held: object, **whats: str) -> None:
    for name, what in whats.items():
        object.__setattr__(held, name, checked_text(getattr(held, name), what))
