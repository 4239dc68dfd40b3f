"""Where a car stands: not recorded, recorded or void, with what was read and what is not covered.

Nothing here is a bare word. "Recorded" means that absence of voltage was recorded at the named
points, at a time, by named persons; the battery itself remains energised.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Current, PointReading, SafingEntry, StepDone
from triage_app.domain.safing.layouts import HvLayout
from triage_app.domain.safing.limits import SafingPolicy, counted_voltage_v, limit_v
from triage_app.domain.safing.points import (
    Components,
    TestPoint,
    layout_of,
    points_of,
    unnamed_findings,
)
from triage_app.domain.safing.run import Run
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.safing.voids import Void, VoidCause
from triage_app.domain.safing.watch import Watch, watch_of

BATTERY_REMAINS = "The battery itself remains energised."


class SafingState(StrEnum):
    """State of the make-safe record."""

    NOT_RECORDED = "not recorded"
    RECORDED = "recorded"
    VOID = "void"


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A step or a reading that is not there, and why it matters."""

    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPoint:
    """A test point and its two readings; None is not read."""

    point: TestPoint
    first: SafingEntry | None = None
    second: SafingEntry | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SafingStatus:
    """All that can be said of a record at one moment.

    ``stands_since`` is when the instrument was proved again, or None while that has not counted;
    a void record keeps it. ``next_step`` is None while points are read and once all is done.
    ``left_out`` are entries that do not count, each with the reason. ``voltage_v`` is the system
    voltage as given; None counts as the top of class B.
    """

    state: SafingState
    points: tuple[ReadPoint, ...]
    missing: tuple[Missing, ...]
    voids: tuple[Void, ...]
    not_covered: tuple[str, ...]
    remarks: tuple[str, ...]
    done: tuple[SafingEntry, ...]
    next_step: Step | None
    next_reading: tuple[TestPoint, int] | None
    voltage_v: float | None
    limit_dc_v: float
    limit_ac_v: float
    stands_since: datetime | None
    reader: str
    recorders: tuple[str, ...]
    left_out: tuple[tuple[SafingEntry, str], ...]

    @property
    def covered(self) -> tuple[str, ...]:
        """The points at which absence of voltage is recorded; none unless the record stands."""
        if self.state is not SafingState.RECORDED:
            return ()
        return tuple(read.point.name for read in self.points)

    @property
    def counts_since(self) -> datetime | None:
        """Since when the record stands; None while nothing is recorded, and once it is void."""
        return self.stands_since if self.state is SafingState.RECORDED else None

    def entry_of(self, step: Step) -> SafingEntry | None:
        for entry in self.done:
            if isinstance(entry.what, StepDone) and entry.what.step is step:
                return entry
        return None


def status_of(
    case: Case, components: Components, *, now: datetime, policy: SafingPolicy
) -> SafingStatus:
    """Return where the record of ``case`` stands at ``now``."""
    run = run_of(case, policy)
    points = points_of(case, components)
    last = run.done.get(Step.INSTRUMENT_PROVED_AGAIN)
    voids = (*run.voids, *_voids_by_now(run, last, points, now, policy))
    state = SafingState.NOT_RECORDED if last is None else SafingState.RECORDED
    if voids:
        state = SafingState.VOID
    is_going_on = state is SafingState.NOT_RECORDED
    return SafingStatus(
        state=state,
        points=tuple(_read_point(run, point) for point in points),
        missing=tuple(_missing(run, points)) if is_going_on else (),
        voids=voids,
        not_covered=tuple(_not_covered(case)),
        remarks=(*_remarks(case, run), *_heat_remarks(watch_of(case.safing, policy), policy)),
        done=tuple(run.done[step] for step in STEPS if step in run.done),
        next_step=_next_step(run, points) if is_going_on else None,
        next_reading=_next_reading(run, points) if is_going_on else None,
        voltage_v=case.vehicle.system_voltage_v,
        limit_dc_v=limit_v(run.maker_limit_dc_v, Current.DC),
        limit_ac_v=limit_v(run.maker_limit_dc_v, Current.AC),
        stands_since=last.done_at if last else None,
        reader=run.reader,
        recorders=tuple(dict.fromkeys(entry.recorded.by for entry in run.done.values())),
        left_out=tuple(run.left_out),
    )


def run_of(case: Case, policy: SafingPolicy) -> Run:
    """Return the record of ``case`` as far as it counts."""
    volts = counted_voltage_v(case.vehicle.system_voltage_v)
    return Run.of(case.safing, voltage_v=volts, policy=policy)


def _voids_by_now(
    run: Run,
    last: SafingEntry | None,
    points: tuple[TestPoint, ...],
    now: datetime,
    policy: SafingPolicy,
) -> Iterator[Void]:
    if run.last_at is not None and now < run.last_at:
        detail = f"the last entry is of {run.last_at:%Y-%m-%d %H:%M} UTC"
        yield Void(cause=VoidCause.CLOCK_MOVED_BACK, detail=detail)
    if last is None:
        return
    oldest = min((entry.done_at for entry in run.readings.values()), default=last.done_at)
    if now - oldest > policy.oldest:
        hours = policy.oldest.total_seconds() / 3600
        yield Void(
            cause=VoidCause.TOO_OLD,
            detail=f"its first reading, of {oldest:%Y-%m-%d %H:%M} UTC, counts for {hours:g} h",
            at=oldest + policy.oldest,
        )
    read = last.what.points if isinstance(last.what, StepDone) else ()
    new = [point.name for point in points if point.id not in read]
    if new:
        yield Void(cause=VoidCause.NEW_POINT, detail="; ".join(new))


def _read_point(run: Run, point: TestPoint) -> ReadPoint:
    return ReadPoint(
        point=point,
        first=run.readings.get((point.id, 1)),
        second=run.readings.get((point.id, 2)),
    )


def _missing(run: Run, points: tuple[TestPoint, ...]) -> Iterator[Missing]:
    names = {point.id: point for point in points}
    for step in STEPS:
        if step is Step.INSTRUMENT_PROVED_AGAIN:
            for point_id, turn in run.unread(names):
                which = "first" if turn == 1 else "second"
                point = names[point_id]
                yield Missing(what=f"{which} reading: {point.name}", why=point.because)
        if step not in run.done:
            yield Missing(what=step.value, why=step.why)


def _next_step(run: Run, points: tuple[TestPoint, ...]) -> Step | None:
    for step in STEPS:
        if step is Step.INSTRUMENT_PROVED_AGAIN and run.unread(point.id for point in points):
            return None
        if step not in run.done:
            return step
    return None


def _next_reading(run: Run, points: tuple[TestPoint, ...]) -> tuple[TestPoint, int] | None:
    if Step.INSTRUMENT_PROVED not in run.done:
        return None
    by_id = {point.id: point for point in points}
    return next(((by_id[one], turn) for one, turn in run.unread(by_id)), None)


def _not_covered(case: Case) -> Iterator[str]:
    yield "the battery, inside its enclosure and up to the disconnect"
    layout = layout_of(case) or HvLayout()
    if layout.left_out:
        yield f"not fitted by {layout.document}: {', '.join(layout.left_out)}"
    for finding in unnamed_findings(case):
        yield f"finding {finding.number}: nobody has said what it is"
    yield "whatever is not a test point of this record"


def _remarks(case: Case, run: Run) -> Iterator[str]:
    if layout_of(case) is None:
        yield "Nobody chose the layout of this car; every unit of the list counts as fitted."
    if Step.MAKER_PROCEDURE in run.done and run.maker_limit_dc_v is None:
        yield (
            "No limit of the maker is written down; 60 V DC and 30 V AC count, which are limits of "
            "a voltage class and no proof of absence."
        )
    late = [
        entry
        for entry in (*run.done.values(), *run.readings.values())
        if (entry.recorded.at - entry.done_at).total_seconds() > 300
    ]
    if late:
        yield (
            f"{len(late)} of the entries were written in later; their times are as stated by "
            "whoever wrote them in."
        )


def _heat_remarks(watch: Watch, policy: SafingPolicy) -> Iterator[str]:
    """Say what the battery did since arrival: a record that is begun again does not undo it."""
    for trend in watch.places:
        if trend.highest_rise_c > policy.rise_c:
            yield (
                f"The temperature at '{trend.place}' rose by {trend.highest_rise_c:.1f} °C since "
                "arrival; a record that was begun again does not undo that."
            )
    if watch.signs:
        seen = ", ".join(f"{sign} at {at:%Y-%m-%d %H:%M} UTC" for sign, at in watch.signs)
        yield f"Signs were noticed since arrival: {seen}. Nothing that is recorded undoes them."


def readings_of(status: SafingStatus) -> Iterator[tuple[TestPoint, PointReading, SafingEntry]]:
    """Yield every reading that counts, with its point, in the order of the points."""
    for read in status.points:
        for entry in (read.first, read.second):
            if entry is not None and isinstance(entry.what, PointReading):
                yield read.point, entry.what, entry
