"""The make-safe record as lines for a terminal; the state is never a bare word."""

from collections.abc import Iterator

from triage_app.cli.words import printable
from triage_app.domain.safing.entries import PointReading, SafingEntry
from triage_app.domain.safing.islands import IslandIsolation
from triage_app.domain.safing.state import BATTERY_REMAINS, ReadPoint, SafingState, SafingStatus
from triage_app.domain.safing.watch import Watch

COUNTS_LIVE = "Everything of the high-voltage system counts as live."


def status_lines(
    status: SafingStatus, isolation: tuple[IslandIsolation, ...], watch: Watch
) -> Iterator[str]:
    """Yield where a record stands, what is missing, what is not covered, and what is due."""
    yield from map(printable, _state_lines(status))
    yield printable(f"Not covered: {'; '.join(status.not_covered)}. {BATTERY_REMAINS}")
    for remark in status.remarks:
        yield f"  NOTICE: {printable(remark)}"
    yield "Test points:"
    for number, read in enumerate(status.points, start=1):
        yield printable(f"  {number} {read.point.name}: {_readings(read)}")
    yield "Isolation, an outstanding test of each island:"
    for one in isolation:
        yield printable(f"  {one.island}: {one.said}")
    if watch.next_due is None:
        yield "Temperature: a first reading is due now."
    else:
        yield f"Temperature: the next reading is due at {watch.next_due:%Y-%m-%d %H:%M} UTC."
    yield from (f"  {printable(line)}" for line in _watch_lines(watch))
    for entry, reason in status.left_out:
        yield printable(f"Entry {entry.number} does not count: {reason}")


def _state_lines(status: SafingStatus) -> Iterator[str]:
    if status.state is SafingState.VOID:
        yield f"Make-safe record: VOID. {COUNTS_LIVE}"
        for void in status.voids:
            at = f" ({void.at:%Y-%m-%d %H:%M} UTC)" if void.at else ""
            yield f"  {void.sentence}{at}"
            yield f"  What to do now: {void.cause.do_now}"
    elif status.state is SafingState.NOT_RECORDED or status.stands_since is None:
        yield f"Absence of voltage: NOT RECORDED. {COUNTS_LIVE}"
        if status.missing:
            first = status.missing[0]
            yield f"Due next: {first.what} ({first.why}); {len(status.missing)} missing in all."
    else:
        yield (
            f"Absence of voltage recorded at {'; '.join(status.covered)}; "
            f"{status.stands_since:%Y-%m-%d %H:%M} UTC, read by {status.reader}, recorded by "
            f"{', '.join(status.recorders)}; limit {status.limit_dc_v:g} V DC / "
            f"{status.limit_ac_v:g} V AC."
        )


def _watch_lines(watch: Watch) -> Iterator[str]:
    for trend in watch.places:
        last = trend.readings[-1]
        line = f"{trend.place}: {last.value_c:g} °C at {last.at:%Y-%m-%d %H:%M} UTC"
        if trend.rise_c is not None:
            line += f", {trend.rise_c:+z.1f} °C since the first reading"
        if trend.per_hour_c is not None:
            line += f", {trend.per_hour_c:+z.1f} °C per hour"
        yield f"{line}, largest rise {trend.highest_rise_c:.1f} °C"
    for sign, at in watch.signs:
        yield f"{sign} was noticed at {at:%Y-%m-%d %H:%M} UTC"
    if watch.places:
        yield f"The car is kept away by: {watch.kept}"


def _readings(read: ReadPoint) -> str:
    return f"first {_volts(read.first)}, second {_volts(read.second)}"


def _volts(entry: SafingEntry | None) -> str:
    if entry is None or not isinstance(entry.what, PointReading):
        return "NOT READ"
    read = entry.what
    return f"{' / '.join(f'{volts:g}' for volts in read.voltages)} V {read.current}"
