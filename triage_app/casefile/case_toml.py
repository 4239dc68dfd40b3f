"""A whole case written by hand as TOML: its fields, and a strict reader with one clear line.

What each field is for stands beside it and is printed in the reference.
"""

import json
import tomllib
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationError, WithJsonSchema

from rules import EvidenceKind, Powertrain, Side, TestOutcome
from triage_app.casefile.make_safe_toml import MakeSafeTable, StrictTable
from triage_app.domain.admission.entries import Verdict
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import Instruction
from triage_app.domain.inspection.entries import ExpectedPhoto, ItemState
from triage_app.domain.vehicle import Answer

MAX_CASE_TOML_CHARACTERS = 1_000_000


_YES_NO: dict[object, bool | None] = {"yes": True, "no": False, "unknown": None}


def _yes_no(value: object) -> bool | None:
    if value is None or isinstance(value, bool):
        return value
    if not isinstance(value, str) or value not in _YES_NO:
        raise ValueError("should be true, false, 'yes', 'no' or 'unknown'")
    return _YES_NO[value]


def _answer(value: object) -> object:
    return ("yes" if value else "no") if isinstance(value, bool) else value


_SCHEMA = WithJsonSchema({"enum": [True, False, "yes", "no", "unknown"]})
YesNo = Annotated[bool | None, BeforeValidator(_yes_no), _SCHEMA]
Sign = Annotated[Answer, BeforeValidator(_answer), _SCHEMA]
Xy = tuple[float, float]


class CaseTable(StrictTable):
    """What the case is called."""

    reference: str | None = Field(
        default=None, description="Case reference; without it the next free one of this year."
    )


class VehicleTable(StrictTable):
    """The car."""

    description: str = Field(default="", description="What car it is, in a few words.")
    plate: str = Field(default="", description="Number plate.")
    vin: str | None = Field(
        default=None, description="Vehicle identification number, 17 characters."
    )
    powertrain: Powertrain = Field(default=Powertrain.UNKNOWN, description="Kind of drive.")
    system_voltage_v: float | None = Field(
        default=None,
        description="Highest DC voltage of the HV system in volts; absent counts as high.",
    )
    battery_energy_kwh: float | None = Field(default=None, description="Battery energy in kWh.")
    battery_chemistry: str = Field(
        default="", description="Battery chemistry, as the maker names it."
    )
    charge_on_arrival_percent: float | None = Field(
        default=None, description="Charge on arrival, 0 to 100."
    )
    odometer_km: float | None = Field(default=None, description="Odometer reading in km.")


class IncidentTable(StrictTable):
    """What happened, and the signs seen on arrival. A sign that is absent is not known."""

    happened_on: str = Field(
        default="", description="Date of the incident, as text or a TOML date."
    )
    what_happened: str = Field(
        default="", description="What happened, in the words of who brought it."
    )
    arrived_how: str = Field(default="", description="How the car arrived.")
    insurer_reference: str = Field(default="", description="The insurer's reference.")
    pre_loss_value: Decimal | None = Field(
        default=None, description="Value of the car before the loss."
    )
    currency: str = Field(default="", description="Currency of the value, such as EUR.")
    smoke: Sign = Field(default=Answer.UNKNOWN, description="Smoke seen.")
    fire: Sign = Field(default=Answer.UNKNOWN, description="Fire seen.")
    water: Sign = Field(default=Answer.UNKNOWN, description="Stood or drove in water.")
    hissing: Sign = Field(default=Answer.UNKNOWN, description="Hissing or bubbling heard.")
    odour: Sign = Field(default=Answer.UNKNOWN, description="Sweet or solvent smell.")
    popping: Sign = Field(default=Answer.UNKNOWN, description="Popping heard.")
    rising_temperature: Sign = Field(
        default=Answer.UNKNOWN, description="Battery warms up by itself, from reading to reading."
    )
    swelling: Sign = Field(
        default=Answer.UNKNOWN, description="Battery bulges, sags or hangs down."
    )
    battery_leak: Sign = Field(
        default=Answer.UNKNOWN, description="Fluid runs or drips from the battery."
    )
    broken_battery_mounts: Sign = Field(
        default=Answer.UNKNOWN, description="A mount of the battery is broken, torn or gone."
    )
    crushed_lifting_points: Sign = Field(
        default=Answer.UNKNOWN, description="A lifting point is crushed, torn or bent."
    )


class PhotoTable(StrictTable):
    """One photo file beside the case file."""

    file: str = Field(
        description="Path relative to the case file, with '/', inside its folder only."
    )
    name: str | None = Field(
        default=None, description="Short name for marks to use; else ``file``."
    )

    @property
    def called(self) -> str:
        return self.name or self.file


class EllipseTable(StrictTable):
    """An ellipse drawn on a photo."""

    centre: Xy = Field(description="Centre [x, y] in fractions of the upright photo.")
    radii_px: Xy = Field(description="The two radii in pixels of the upright photo.")
    angle_deg: float = Field(default=0.0, description="Turn in degrees, clockwise as seen.")


class MarkTable(StrictTable):
    """One outline on one photo: exactly one of ``box``, ``polygon``, ``ellipse``."""

    photo: str = Field(description="Name (or file) of the photo.")
    box: tuple[float, float, float, float] | None = Field(
        default=None, description="Rectangle [left, top, right, bottom] in fractions, 0 to 1."
    )
    polygon: tuple[Xy, ...] | None = Field(
        default=None, description="Three or more points [[x, y], ...] in fractions, 0 to 1."
    )
    holes: tuple[tuple[Xy, ...], ...] = Field(
        default=(), description="Areas cut out of the polygon, each a list of points."
    )
    ellipse: EllipseTable | None = Field(default=None, description="Ellipse: see below.")


class EvidenceTable(StrictTable):
    """A test result, a part replaced or an instruction of the maker, recorded later."""

    kind: EvidenceKind = Field(
        default=EvidenceKind.TEST_RESULT, description="What it is a record of."
    )
    test: str | None = Field(default=None, description="Test id of the rule book.")
    outcome: TestOutcome | None = Field(default=None, description="How the test came out.")
    value: float | None = Field(default=None, description="Measured value.")
    unit: str = Field(default="", description="Unit of the value.")
    instrument: str = Field(default="", description="What it was measured with.")
    serial: str = Field(default="", description="Serial number of the instrument.")
    calibration_due: date | None = Field(
        default=None, description="Date until which the instrument is calibrated."
    )
    criterion: str = Field(default="", description="What the maker asks for.")
    document: str = Field(default="", description="The maker's document that says so.")
    document_date: str = Field(
        default="", description="Date or edition of that document, or 'undated'."
    )
    instruction: Instruction | None = Field(
        default=None, description="What the part needs, by the maker."
    )
    note: str = Field(default="", description="Anything else, in plain words.")
    recorded_by: str = Field(
        default="", description="Who recorded it; else whoever runs the case file."
    )
    accepted: bool = Field(
        default=False,
        description="Whoever runs the case file accepts it; somebody else has to have recorded it.",
    )


class FindingTable(StrictTable):
    """One damage to one part. What is absent is not known and counts as worse."""

    component: str | None = Field(default=None, description="Component id of the rule book.")
    damage: str | None = Field(default=None, description="Damage type id of the rule book.")
    zone: str | None = Field(default=None, description="Zone id of the rule book.")
    side: Side | None = Field(default=None, description="Side of the car as its driver sees it.")
    length_mm: float | None = Field(default=None, description="Length of the damage in mm.")
    width_mm: float | None = Field(default=None, description="Width of the damage in mm.")
    depth_mm: float | None = Field(default=None, description="Depth of the damage in mm.")
    distance_to_hv_mm: float | None = Field(
        default=None, description="Shortest distance to the nearest HV part in mm."
    )
    distance_uncertainty_mm: float | None = Field(
        default=None, description="Half-width of the 95 % interval of that distance in mm."
    )
    covers_off: YesNo = Field(
        default=None, description="Were the shields off when it was measured?"
    )
    measured_how: str = Field(default="", description="How it was measured, with what.")
    hv_conductor_visible: YesNo = Field(default=None, description="Is an HV conductor to be seen?")
    hangs_free: YesNo = Field(default=None, description="Does a severed cable hang free?")
    note: str = Field(default="", description="Anything else, in plain words.")
    mark: tuple[MarkTable, ...] = Field(
        default=(),
        description="``[[finding.mark]]``, the same damage in each; none when no photo shows it.",
    )
    evidence: tuple[EvidenceTable, ...] = Field(
        default=(), description="``[[finding.evidence]]``, what was found out later."
    )


class AdmissionDecisionTable(StrictTable):
    """What whoever runs the file, a senior technician, decides about the signs in it."""

    verdict: Verdict = Field(description="Admitted, or kept outside.")
    reason: str = Field(description="Why; it goes on record.")


class InspectionTable(StrictTable):
    """What was seen of parts in one zone, or why they were not seen."""

    zone: str = Field(description="Zone id of the rule book.")
    parts: tuple[str, ...] = Field(
        default=(),
        description="Component ids there; none means every part of the zone without a finding, and "
        "only where they were not seen.",
    )
    state: ItemState = Field(description="What was seen of them.")
    reason: str = Field(default="", description="Why they were not accessible or not inspected.")
    covers_off: YesNo = Field(default=None, description="Were shields and covers off?")
    inspected_by: str = Field(default="", description="Who looked; else whoever runs the file.")


class ExpectedPhotoTable(StrictTable):
    """Which photos show what an insurer expects, or why there is none."""

    what: ExpectedPhoto = Field(description="What is expected.")
    photos: tuple[str, ...] = Field(default=(), description="Names (or files) of the photos.")
    none_because: str = Field(default="", description="Why there is none.")


class CaseToml(StrictTable):
    """A case file. ``format`` is 1."""

    format: Literal[1] = Field(description="Version of this format: 1.")
    case: CaseTable = Field(default=CaseTable(), description="``[case]``")
    vehicle: VehicleTable = Field(default=VehicleTable(), description="``[vehicle]``")
    incident: IncidentTable = Field(default=IncidentTable(), description="``[incident]``")
    photo: tuple[PhotoTable, ...] = Field(min_length=1, description="``[[photo]]``")
    finding: tuple[FindingTable, ...] = Field(default=(), description="``[[finding]]``")
    evidence: tuple[EvidenceTable, ...] = Field(
        default=(), description="``[[evidence]]``, test results for the whole car."
    )
    admission_decision: AdmissionDecisionTable | None = Field(
        default=None, description="``[admission_decision]``"
    )
    inspection: tuple[InspectionTable, ...] = Field(default=(), description="``[[inspection]]``")
    expected_photo: tuple[ExpectedPhotoTable, ...] = Field(
        default=(), description="``[[expected_photo]]``"
    )
    make_safe: tuple[MakeSafeTable, ...] = Field(
        default=(), description="``[[make_safe]]``, the make-safe record, entry by entry."
    )


def read_case_toml(text: str) -> CaseToml:
    """Return what a case file says; InvalidInputError names the first field that is wrong.

    Only the shape is checked here: words of the rule book and outlines are the loader's matter.
    """
    if len(text) > MAX_CASE_TOML_CHARACTERS:
        raise InvalidInputError("A case file has at most a million characters.")
    try:
        # By way of JSON, because there a strict reader still takes a list for a tuple.
        return CaseToml.model_validate_json(json.dumps(tomllib.loads(text), default=str))
    except tomllib.TOMLDecodeError as error:
        raise InvalidInputError(f"The case file is not TOML: {error}.") from error
    except RecursionError as error:
        raise InvalidInputError("The case file is nested too deeply.") from error
    except ValidationError as error:
        raise InvalidInputError(f"The case file cannot be used: {_first(error)}.") from error


def _first(error: ValidationError) -> str:
    # An unknown key first: a misspelt one also makes the right one "missing".
    faults = sorted(error.errors(), key=lambda fault: fault["type"] != "extra_forbidden")
    fault = faults[0]
    where = ", ".join(_places(fault["loc"]))
    if fault["type"] == "extra_forbidden":
        return f"there is no field '{where}'"
    if fault["type"] == "missing":
        return f"'{where}' is missing"
    message = fault["msg"].removeprefix("Input ").removeprefix("Value error, ")
    message = message.replace("valid array", "list")
    return f"'{where}' {message[0].lower()}{message[1:]}"


def _places(location: tuple[int | str, ...]) -> Iterator[str]:
    """Yield the steps to a field, counting from 1: finding 2, mark 1, box."""
    steps = list(location)
    while steps:
        step, counts = str(steps.pop(0)), []
        while steps and isinstance(steps[0], int):
            counts.append(str(int(steps.pop(0)) + 1))
        yield f"{step} {'.'.join(counts)}".strip()
