"""One go at making safe, followed entry by entry: what counts, and what does not and why not.

The same rules refuse an entry when it is made and leave it out when a record is read, so that a
record from elsewhere is judged no more kindly than one that was made here.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from triage_app.domain.safing.entries import (
    Happened,
    Happening,
    PointReading,
    SafingEntry,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.limits import SafingPolicy, is_above_limit
from triage_app.domain.safing.step_faults import Before, step_fault
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.safing.voids import CAUSE_OF, Void, VoidCause
from triage_app.domain.safing.watch import largest_rise
from triage_app.domain.signed import is_same_person

# How far a stated time may lie after the entry that states it: clocks of two devices.
CLOCKS_DIFFER = timedelta(minutes=2)
_TURN_WORDS = {1: "first", 2: "second"}


class Run:
    """What counts of the entries since the record was last begun."""

    def __init__(self, *, voltage_v: float, policy: SafingPolicy) -> None:
        self._voltage_v = voltage_v
        self._policy = policy
        self.left_out: list[tuple[SafingEntry, str]] = []
        self._begin()

    @classmethod
    def of(cls, entries: Iterable[SafingEntry], *, voltage_v: float, policy: SafingPolicy) -> "Run":
        run = cls(voltage_v=voltage_v, policy=policy)
        for entry in entries:
            run.take(entry)
        return run

    def _begin(self) -> None:
        self.done: dict[Step, SafingEntry] = {}
        self.readings: dict[tuple[str, int], SafingEntry] = {}
        self.voids: list[Void] = []
        self.last_at: datetime | None = None
        self._last_recorded_at: datetime | None = None
        self._felt_c: dict[str, list[tuple[datetime, float]]] = {}

    @property
    def maker_limit_dc_v(self) -> float | None:
        made = self._step(Step.MAKER_PROCEDURE)
        return made.procedure.limit_dc_v if made and made.procedure else None

    @property
    def reader(self) -> str:
        worn = self._step(Step.PROTECTION)
        return worn.protection.reader if worn and worn.protection else ""

    def take(self, entry: SafingEntry) -> None:
        """Follow one more entry; what does not count is kept in ``left_out`` with the reason."""
        fault = self.fault(entry)
        if fault:
            self.left_out.append((entry, fault))
            return
        what = entry.what
        if isinstance(what, Happened):
            self._happened(entry, what.what)
        elif isinstance(what, StepDone):
            self._step_done(entry, what)
        elif isinstance(what, PointReading):
            self._read(entry, what)
        elif isinstance(what, TemperatureReading):
            self._felt(entry, what.place, what.value_c)
            for sign in what.signs:
                self._void(VoidCause.SIGN_SEEN, sign, entry)
        if isinstance(what, StepDone | PointReading | Happened):
            # What can only raise is taken whatever its time: it must not turn the order back.
            self.last_at = max(entry.done_at, self.last_at or entry.done_at)
            known_at = self._last_recorded_at or entry.recorded.at
            self._last_recorded_at = max(entry.recorded.at, known_at)

    def fault(self, entry: SafingEntry) -> str:
        """Return why an entry would not count now, in one sentence, or "" where it would."""
        what = entry.what
        if not isinstance(what, StepDone | PointReading):
            return ""  # What happened, was felt or was chosen is taken down whatever came before.
        if isinstance(what, PointReading) and self._can_only_raise(what):
            return ""
        return (
            self._void_fault()
            or self._time_fault(entry)
            or (
                self._step_fault(entry, what)
                if isinstance(what, StepDone)
                else self._reading_fault(entry, what)
            )
        )

    def _can_only_raise(self, reading: PointReading) -> bool:
        """Tell whether a reading adds nothing and can only show that voltage is there."""
        is_later = Step.INSTRUMENT_PROVED_AGAIN in self.done
        return is_later or is_above_limit(reading, self.maker_limit_dc_v)

    def missing_before(self, step: Step) -> Step | None:
        """Return the first step before this one that is not recorded, or None."""
        return next((each for each in step.is_before if each not in self.done), None)

    def unread(self, point_ids: Iterable[str]) -> tuple[tuple[str, int], ...]:
        """Return which of these points lack which turn, in the order of reading."""
        ids = tuple(point_ids)
        return tuple((one, turn) for turn in (1, 2) for one in ids if not self._has(one, turn))

    def _has(self, point_id: str, turn: int) -> bool:
        return (point_id, turn) in self.readings

    def _step(self, step: Step) -> StepDone | None:
        entry = self.done.get(step)
        return entry.what if entry and isinstance(entry.what, StepDone) else None

    def _void_fault(self) -> str:
        if not self.voids:
            return ""
        return f"The record is void ({self.voids[0].sentence}). Begin it again."

    def _time_fault(self, entry: SafingEntry) -> str:
        if entry.done_at > entry.recorded.at + CLOCKS_DIFFER:
            return "The time stated for it has not come yet."
        earlier = self.last_at is not None and entry.done_at < self.last_at
        turned = self._last_recorded_at is not None and entry.recorded.at < self._last_recorded_at
        if earlier or turned:
            return (
                f"Its time, {entry.done_at:%Y-%m-%d %H:%M:%S} UTC, is before the entry that it "
                "follows: the clock was moved back, and the order cannot be shown any more. Set "
                "the clock right, or begin the record again."
            )
        return ""

    def _step_fault(self, entry: SafingEntry, done: StepDone) -> str:
        missing = self.missing_before(done.step)
        if missing is not None:
            return (
                f"'{_upper(done.step)}' comes after '{missing}', which is not recorded: "
                f"{missing.why}."
            )
        if done.step is Step.INSTRUMENT_PROVED_AGAIN:
            unread = self._unread_fault(done.points)
            if unread:
                return unread
        fault = step_fault(entry, done, Before(done=self.done, voltage_v=self._voltage_v))
        if not fault:
            return ""
        return f"'{_upper(done.step)}' does not count: {fault}. {_upper(done.step.why)}."

    def _unread_fault(self, points: tuple[str, ...]) -> str:
        if not points:
            return "No test point is named; a record without a reading says nothing."
        unread = self.unread(points)
        if not unread:
            return ""
        point_id, turn = unread[0]
        return (
            f"The {_TURN_WORDS[turn]} reading of '{self._name(point_id)}' is missing: zero at one "
            "point says nothing about another."
        )

    def _name(self, point_id: str) -> str:
        for (known, _), entry in self.readings.items():
            if known == point_id and isinstance(entry.what, PointReading):
                return entry.what.point_name
        return point_id.split(":", 1)[-1].replace("_", " ")

    def _reading_fault(self, entry: SafingEntry, reading: PointReading) -> str:
        if Step.INSTRUMENT_PROVED not in self.done:
            missing = self.missing_before(Step.INSTRUMENT_PROVED) or Step.INSTRUMENT_PROVED
            return f"Before a point is read, '{missing}' is recorded: {missing.why}."
        if is_same_person(self.reader, entry.recorded.by):
            return (
                f"{self.reader} reads and cannot record at once; the second person records, so "
                "that the reader keeps the gloves on."
            )
        if not reading.contact_confirmed:
            return (
                f"The probe contact at '{reading.point_name}' is not confirmed: a probe on paint, "
                "dirt or oxide reads zero on a live part."
            )
        return self._gloves_fault(entry) or self._turn_fault(entry, reading)

    def _gloves_fault(self, entry: SafingEntry) -> str:
        """Say whether gloves were air-tested long ago; hours, as a work day has no time zone."""
        worn = self.done[Step.PROTECTION]
        if entry.done_at - worn.done_at <= self._policy.oldest:
            return ""
        return (
            f"The gloves were air-tested at {worn.done_at:%Y-%m-%d %H:%M} UTC, more than "
            f"{self._policy.oldest.total_seconds() / 3600:g} h before; gloves are looked at and "
            f"air-tested before each day of use. Record '{Step.PROTECTION}' again."
        )

    def _turn_fault(self, entry: SafingEntry, reading: PointReading) -> str:
        if reading.turn == 1:
            return ""
        first = self.readings.get((reading.point_id, 1))
        if first is None:
            return f"The first reading of '{reading.point_name}' is missing."
        was = first.what
        if isinstance(was, PointReading) and was.current is not reading.current:
            return (
                f"'{reading.point_name}' was read in {was.current} first and in {reading.current} "
                "now: only two readings of the same kind show a rise. Read it again as before."
            )
        between = self._policy.between_turns
        if entry.done_at - first.done_at < between:
            return (
                f"Between the two readings of '{reading.point_name}' at least "
                f"{between.total_seconds():.0f} s have to pass: a rise needs time to show."
            )
        return ""

    def _happened(self, entry: SafingEntry, what: Happening) -> None:
        if what is Happening.BEGIN_AGAIN:
            self._begin()
        elif self.done:
            self._void(CAUSE_OF[what], "", entry)

    def _step_done(self, entry: SafingEntry, done: StepDone) -> None:
        """Count the step; one that is done again takes with it all that rested on it."""
        for later in STEPS[STEPS.index(done.step) :]:
            self.done.pop(later, None)
        if done.step is not Step.INSTRUMENT_PROVED_AGAIN:
            self.readings.clear()
        self.done[done.step] = entry
        if done.step is Step.FIRST_TEMPERATURE and done.value is not None:
            self._felt(entry, done.reference, done.value)

    def _read(self, entry: SafingEntry, reading: PointReading) -> None:
        where = f"{reading.point_name}, {reading.highest_v:g} V {reading.current}"
        if is_above_limit(reading, self.maker_limit_dc_v):
            self._void(VoidCause.VOLTAGE_FOUND, where, entry)
        before = self.readings.get((reading.point_id, 2)) or self.readings.get(
            (reading.point_id, 1)
        )
        if before is not None and _has_risen(before, reading):
            self._void(VoidCause.VOLTAGE_RISING, where, entry)
        if Step.INSTRUMENT_PROVED_AGAIN in self.done:
            return
        if reading.turn == 1:
            self.readings.pop((reading.point_id, 2), None)
        self.readings[reading.point_id, reading.turn] = entry

    def _felt(self, entry: SafingEntry, place: str, value_c: float) -> None:
        """Judge the series at a place in order of time, whenever each reading was written in."""
        series = self._felt_c.setdefault(place.casefold(), [])
        before = _rise(series)
        series.append((entry.done_at, value_c))
        series.sort(key=lambda felt: felt[0])
        low, high = largest_rise(felt[1] for felt in series)
        if high - low > max(self._policy.rise_c, before):
            detail = f"{place}, from {low:g} to {high:g} °C"
            self._void(VoidCause.TEMPERATURE_RISING, detail, entry)

    def _void(self, cause: VoidCause, detail: str, entry: SafingEntry) -> None:
        self.voids.append(Void(cause=cause, detail=detail, at=entry.done_at))


def _rise(series: list[tuple[datetime, float]]) -> float:
    if not series:
        return 0.0
    low, high = largest_rise(felt[1] for felt in series)
    return high - low


def _has_risen(before: SafingEntry, now: PointReading) -> bool:
    was = before.what
    if not isinstance(was, PointReading) or was.current is not now.current:
        return False
    pairs = zip(was.voltages, now.voltages, strict=True)
    return any(abs(later) > abs(earlier) for earlier, later in pairs)


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]
