"""The temperature watch: readings over time, what they did, and when the next one is due.

Skin or enclosure is not cell temperature, and bare aluminium misreads in infrared. Any rise is
pointed out; no reading and no waiting time is ever called enough.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from triage_app.domain.safing.entries import (
    Keeping,
    SafingEntry,
    SafingInstrument,
    StepDone,
    TemperatureReading,
    WatchSign,
)
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.steps import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """One temperature of the series."""

    at: datetime
    place: str
    value_c: float
    ambient_c: float | None
    instrument: SafingInstrument
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceTrend:
    """What the temperature at one place did since the first reading there.

    ``rise_c`` is last less first, ``highest_rise_c`` the largest above an earlier reading,
    ``per_hour_c`` the mean since the first, ``lately_per_hour_c`` that between the last two; None
    from a single reading.
    """

    place: str
    readings: tuple[Felt, ...]
    rise_c: float | None
    highest_rise_c: float
    per_hour_c: float | None
    lately_per_hour_c: float | None

    @property
    def is_rising(self) -> bool:
        """True when any reading was above an earlier one at this place."""
        return self.highest_rise_c > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """The whole series. ``next_due`` None is now: nothing was read yet."""

    places: tuple[PlaceTrend, ...]
    signs: tuple[tuple[WatchSign, datetime], ...]
    kept: Keeping
    next_due: datetime | None

    @property
    def readings(self) -> tuple[Felt, ...]:
        """Every reading in order of time."""
        felt = (one for trend in self.places for one in trend.readings)
        return tuple(sorted(felt, key=lambda one: one.at))

    def is_overdue(self, now: datetime) -> bool:
        return self.next_due is None or now > self.next_due


def watch_of(entries: Iterable[SafingEntry], policy: SafingPolicy) -> Watch:
    """Return the watch over all temperatures of the case, those of void records included."""
    kept_entries = tuple(entries)
    felt = sorted((one for entry in kept_entries for one in _felt(entry)), key=lambda one: one.at)
    places = dict.fromkeys(one.place.casefold() for one in felt)
    readings = [
        (entry.what, entry.done_at)
        for entry in kept_entries
        if isinstance(entry.what, TemperatureReading)
    ]
    return Watch(
        places=tuple(
            _trend([one for one in felt if one.place.casefold() == place]) for place in places
        ),
        signs=tuple((sign, at) for reading, at in readings for sign in reading.signs),
        kept=readings[-1][0].kept if readings else Keeping.UNKNOWN,
        next_due=felt[-1].at + policy.watch_every if felt else None,
    )


def largest_rise(values_c: Iterable[float]) -> tuple[float, float]:
    """Return between which two readings, in order of time, it rose most; no rise: twice the first.

    Raises ValueError without a reading.
    """
    series = tuple(values_c)
    if not series:
        raise ValueError("There is no temperature.")
    lowest_c, found = series[0], (series[0], series[0])
    for value_c in series:
        lowest_c = min(lowest_c, value_c)
        found = max(found, (lowest_c, value_c), key=lambda pair: pair[1] - pair[0])
    return found


def _felt(entry: SafingEntry) -> Iterator[Felt]:
    what = entry.what
    if isinstance(what, TemperatureReading):
        yield Felt(
            at=entry.done_at,
            place=what.place,
            value_c=what.value_c,
            ambient_c=what.ambient_c,
            instrument=what.instrument,
            by=entry.recorded.by,
        )
    is_first = isinstance(what, StepDone) and what.step is Step.FIRST_TEMPERATURE
    if is_first and isinstance(what, StepDone) and what.value is not None and what.instrument:
        yield Felt(
            at=entry.done_at,
            place=what.reference,
            value_c=what.value,
            ambient_c=None,
            instrument=what.instrument,
            by=entry.recorded.by,
        )


def _trend(felt: list[Felt]) -> PlaceTrend:
    first, last = felt[0], felt[-1]
    lowest_c, highest_c = largest_rise(one.value_c for one in felt)
    rise_c = last.value_c - first.value_c if len(felt) > 1 else None
    return PlaceTrend(
        place=first.place,
        readings=tuple(felt),
        rise_c=rise_c,
        highest_rise_c=highest_c - lowest_c,
        per_hour_c=_per_hour(first, last),
        lately_per_hour_c=_per_hour(felt[-2], last) if len(felt) > 1 else None,
    )


def _per_hour(before: Felt, after: Felt) -> float | None:
    """Return the rise per hour in degrees Celsius, or None where no time passed."""
    hours = (after.at - before.at) / timedelta(hours=1)
    return (after.value_c - before.value_c) / hours if hours > 0 else None
