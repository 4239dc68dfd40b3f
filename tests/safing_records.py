"""Make-safe records for tests: a whole one, step by step, with invented people and instruments."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta

from rules import load_rulebook
from tests.builders import NOON, SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.domain.case import Case
from triage_app.domain.clocks import CameraClock
from triage_app.domain.ids import SafingId
from triage_app.domain.safing.entries import (
    Entered,
    LayoutChosen,
    MakerProcedure,
    MeterCategory,
    PointReading,
    Protection,
    SafingEntry,
    SafingInstrument,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.layouts import HvLayout, HvUnit
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.points import points_of
from triage_app.domain.safing.state import SafingStatus, status_of
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.signed import Signed

COMPONENTS = load_rulebook().components
POLICY = SafingPolicy()
READER = "Rene Reader"
RECORDER = "Rita Recorder"
EVERY = timedelta(minutes=6)

METER = SafingInstrument(
    name="Two-pole voltage tester",
    serial="V-7",
    category=MeterCategory.CAT_III,
    rated_v=1000,
    calibration_due=NOON.date() + timedelta(days=90),
)
THERMOMETER = SafingInstrument(name="Contact thermometer", serial="T-2")
GLOVES = Protection(
    reader=READER,
    glove_class="0",
    gloves_tested_on=NOON.date() - timedelta(days=60),
    gloves_issued_on=NOON.date() - timedelta(days=30),
    air_tested_today=True,
    leather_over_rubber=True,
    face_and_arc=True,
)
PROCEDURE = MakerProcedure(
    document="Invented HV manual 3-1", document_date="2030-04", discharge_min=5, limit_dc_v=30
)
SMALL_LAYOUT = HvLayout(units=(HvUnit.BATTERY_OUTPUT,), document="Invented layout sheet")

_DETAILS: dict[Step, StepDone] = {
    Step.MAKER_PROCEDURE: StepDone(step=Step.MAKER_PROCEDURE, procedure=PROCEDURE),
    Step.AREA_BARRED: StepDone(step=Step.AREA_BARRED, reference="chain, four signs"),
    Step.FIRST_TEMPERATURE: StepDone(
        step=Step.FIRST_TEMPERATURE,
        reference="battery underside, front",
        value=24.0,
        unit="°C",
        instrument=THERMOMETER,
    ),
    Step.PROTECTION: StepDone(step=Step.PROTECTION, protection=GLOVES),
    Step.SOURCES_IDENTIFIED: StepDone(step=Step.SOURCES_IDENTIFIED, reference="battery, 12 V"),
    Step.LOCKED_AND_TAGGED: StepDone(step=Step.LOCKED_AND_TAGGED, reference="lock 4, tag 17"),
    Step.INSTRUMENT_PROVED: StepDone(
        step=Step.INSTRUMENT_PROVED,
        reference="proving unit PU-1",
        value=240.0,
        unit="V",
        instrument=METER,
    ),
}
_DETAILS[Step.INSTRUMENT_PROVED_AGAIN] = replace(
    _DETAILS[Step.INSTRUMENT_PROVED], step=Step.INSTRUMENT_PROVED_AGAIN
)


def a_step(step: Step, *, points: Iterable[str] = ()) -> StepDone:
    """Return the step done well."""
    done = _DETAILS.get(step, StepDone(step=step))
    return replace(done, points=tuple(points)) if step is STEPS[-1] else done


def a_reading(
    point_id: str = "unit:battery_output", turn: int = 1, volts: float = 0.0
) -> PointReading:
    return PointReading(
        point_id=point_id,
        point_name=point_id.rsplit(":", maxsplit=1)[-1].replace("_", " "),
        turn=turn,
        pole_to_pole_v=volts,
        positive_to_chassis_v=0.0,
        negative_to_chassis_v=0.0,
        contact_confirmed=True,
    )


def a_temperature(value_c: float, place: str = "battery underside, front") -> TemperatureReading:
    return TemperatureReading(place=place, value_c=value_c, instrument=THERMOMETER)


def whole_record(point_ids: Iterable[str]) -> list[Entered]:
    """Return everything, in order, that a record over these points needs."""
    ids = tuple(point_ids)
    return [
        *(a_step(step) for step in STEPS[:-1]),
        *(a_reading(one, turn) for turn in (1, 2) for one in ids),
        a_step(STEPS[-1], points=ids),
    ]


def entered(
    whats: Iterable[Entered],
    *,
    start: datetime = NOON,
    every: timedelta = EVERY,
    by: str = RECORDER,
    first_number: int = 1,
) -> tuple[SafingEntry, ...]:
    """Return the entries, one after the other in time."""
    return tuple(
        SafingEntry(
            id=SafingId(f"S{number}"),
            number=number,
            what=what,
            done_at=start + every * (number - first_number),
            recorded=Signed(by=by, at=start + every * (number - first_number)),
        )
        for number, what in enumerate(whats, start=first_number)
    )


def with_photo_taken(case: Case, really: datetime) -> Case:
    """Return the case with a scrape on the only photo, taken at ``really`` (clock compared)."""
    photo = replace(a_photo(1), taken_at=really.replace(tzinfo=None))
    scrape = a_finding(
        1, tags=some_tags("wheel_arch_liner", "scrape"), marks=(a_mark(1, photo=photo),)
    )
    clock = CameraClock(shown=NOON.replace(tzinfo=None), really=NOON, signed=SIGNED)
    return replace(case, photos=(photo,), findings=(scrape,), clocks=(clock,))


def small_case(*whats: Entered) -> Case:
    """Return a case whose only test point is the battery output, with these entries after it."""
    entries = entered([LayoutChosen(layout=SMALL_LAYOUT), *whats], start=NOON - EVERY)
    return replace(a_case(), safing=entries)


def with_entries(
    case: Case, *whats: Entered, after: timedelta = EVERY, every: timedelta = EVERY
) -> Case:
    """Return the case with more entries after its last one."""
    start = (case.safing[-1].done_at if case.safing else NOON - after) + after
    more = entered(whats, start=start, every=every, first_number=len(case.safing) + 1)
    return replace(case, safing=(*case.safing, *more))


def recorded_case(case: Case | None = None) -> Case:
    """Return the case with a whole record over all of its points."""
    base = small_case() if case is None else case
    ids = tuple(point.id for point in points_of(base, COMPONENTS))
    return with_entries(base, *whole_record(ids))


def status(
    case: Case, *, later: timedelta = timedelta(0), now: datetime | None = None
) -> SafingStatus:
    """Return where the record stands, at the last entry or some time later."""
    at = now or (case.safing[-1].done_at if case.safing else NOON) + later
    return status_of(case, COMPONENTS, now=at, policy=POLICY)
