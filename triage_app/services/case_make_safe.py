"""The make-safe record in a case file: rehearsed before anything is stored, entered at the end."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from triage_app.casefile.make_safe_toml import (
    InstrumentTable,
    MakeSafeTable,
    day_from,
    moment_from,
)
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.ids import PhotoId, SafingId
from triage_app.domain.isolation import IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.entries import (
    Entered,
    Happened,
    LayoutChosen,
    MakerProcedure,
    PointReading,
    Protection,
    SafingInstrument,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.layouts import HvLayout
from triage_app.domain.safing.steps import Step
from triage_app.domain.signed import Operator
from triage_app.services.safing import Safing


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedEntry:
    """An entry to be, and ``where`` in the case file it stands.

    A reading has the name of its point only; its id follows from the case. ``recorded_by`` None is
    whoever runs the case file, ``done_at`` None is then.
    """

    where: str
    what: Entered
    done_at: datetime | None
    recorded_by: Operator | None
    note: str
    photo: str | None
    again: bool


Rehearse = Callable[[Case, tuple[PlannedEntry, ...]], None]


def planned_entry(table: MakeSafeTable, where: str, now: datetime) -> PlannedEntry:
    """Return what a table asks for; raises InvalidInputError."""
    if not table.is_of_one_kind:
        raise InvalidInputError(
            "Give exactly one of step, point, place, happened, layout and isolation."
        )
    named = table.recorded_by.strip()
    return PlannedEntry(
        where=where,
        what=_entered(table, now),
        done_at=moment_from(table.at, now),
        recorded_by=Operator(name=named) if named else None,
        note=table.note,
        photo=table.photo,
        again=table.again,
    )


def rehearsal(safing: Safing, by: Operator) -> Rehearse:
    """Return the check of whether ``by``, who runs the case file, could enter all of it."""

    def rehearse(case: Case, planned: tuple[PlannedEntry, ...]) -> None:
        for number, entry in enumerate(planned, start=1):
            try:
                case = safing.rehearse(
                    case,
                    _at_its_point(safing, case, entry.what),
                    by=_recorder(entry, by),
                    entry_id=SafingId(f"S{number}"),
                    done_at=entry.done_at,
                    note=entry.note,
                    again=entry.again,
                )
            except (InvalidInputError, StaleCaseError) as error:
                why = str(error).rstrip(".")
                raise InvalidInputError(
                    f"The case file cannot be used: '{entry.where}': {why}."
                ) from error

    return rehearse


def put_entry(
    safing: Safing,
    case: Case,
    entry: PlannedEntry,
    *,
    entry_id: SafingId,
    photo_ids: Mapping[str, PhotoId],
    by: Operator,
) -> Case:
    """Enter it; what is there from an earlier run stays as it is."""
    if any(known.id == entry_id for known in case.safing):
        return case
    return safing.record(
        case.id,
        _at_its_point(safing, case, entry.what),
        by=_recorder(entry, by),
        done_at=entry.done_at,
        note=entry.note,
        photo_id=photo_ids[entry.photo] if entry.photo else None,
        again=entry.again,
        entry_id=entry_id,
    )


def _recorder(entry: PlannedEntry, by: Operator) -> Operator:
    """Return the person on record; what they may do is what whoever runs the file may do."""
    return by if entry.recorded_by is None else replace(entry.recorded_by, roles=by.roles)


def _at_its_point(safing: Safing, case: Case, what: Entered) -> Entered:
    if not isinstance(what, PointReading):
        return what
    points = safing.points(case)
    for point in points:
        if what.point_name == point.name:
            return replace(what, point_id=point.id)
    named = "; ".join(point.name for point in points)
    raise InvalidInputError(
        f"This car has no test point '{what.point_name}'; its points are: {named}"
    )


def _entered(table: MakeSafeTable, now: datetime) -> Entered:
    if table.step is not None:
        return _step(table, table.step, now)
    if table.point is not None:
        return _reading(table, table.point)
    if table.place is not None:
        return _temperature(table, table.place, now)
    if table.happened is not None:
        return Happened(what=table.happened)
    if table.layout is not None:
        held = table.layout
        return LayoutChosen(
            layout=HvLayout(units=held.units, extra=held.extra, document=held.document)
        )
    return _isolation(table)


def _step(table: MakeSafeTable, step: Step, now: datetime) -> StepDone:
    unit = "°C" if step is Step.FIRST_TEMPERATURE else "V"
    made, worn = table.procedure, table.gloves
    return StepDone(
        step=step,
        reference=table.reference,
        instead=table.instead,
        value=table.value,
        unit="" if table.value is None else unit,
        instrument=_instrument(table.instrument, now) if table.instrument else None,
        procedure=MakerProcedure(**dict(made)) if made else None,
        protection=None
        if worn is None
        else Protection(
            reader=worn.reader,
            glove_class=worn.glove_class,
            gloves_tested_on=day_from(worn.tested_on, now),
            gloves_issued_on=day_from(worn.issued_on, now),
            air_tested_today=worn.air_tested_today,
            leather_over_rubber=worn.leather_over_rubber,
            face_and_arc=worn.face_and_arc,
        ),
    )


def _reading(table: MakeSafeTable, point: str) -> PointReading:
    if table.volts is None:
        raise InvalidInputError("Give all three voltages; a reading that was not taken is not zero")
    pole_to_pole_v, positive_v, negative_v = table.volts
    return PointReading(
        point_id="",
        point_name=point,
        turn=table.turn,
        pole_to_pole_v=pole_to_pole_v,
        positive_to_chassis_v=positive_v,
        negative_to_chassis_v=negative_v,
        current=table.current,
        contact_confirmed=table.contact_confirmed,
    )


def _temperature(table: MakeSafeTable, place: str, now: datetime) -> TemperatureReading:
    if table.celsius is None or table.instrument is None:
        raise InvalidInputError("A temperature needs celsius and the instrument")
    return TemperatureReading(
        place=place,
        value_c=table.celsius,
        ambient_c=table.ambient_c,
        instrument=_instrument(table.instrument, now),
        signs=table.signs,
        kept=table.kept,
    )


def _isolation(table: MakeSafeTable) -> IsolationMeasurement:
    held = table.isolation
    if held is None:
        raise InvalidInputError("Give the readings of isolation")
    two = None
    if held.two_voltages is not None:
        vb, v1, v2, resistor_ohm, v_prime = held.two_voltages
        two = TwoVoltages(vb=vb, v1=v1, v2=v2, resistor_ohm=resistor_ohm, v_prime=v_prime)
    positive_ohm, negative_ohm, test_v = held.tester or (None, None, None)
    return IsolationMeasurement(
        island=held.island,
        working_v=held.working_v,
        system=held.carries,
        two_voltages=two,
        positive_ohm=positive_ohm,
        negative_ohm=negative_ohm,
        test_v=test_v,
        instrument=held.instrument,
        procedure=held.procedure,
    )


def _instrument(table: InstrumentTable, now: datetime) -> SafingInstrument:
    return SafingInstrument(
        name=table.name,
        serial=table.serial,
        category=table.category,
        rated_v=table.rated_v,
        calibration_due=day_from(table.calibration_due, now),
    )
