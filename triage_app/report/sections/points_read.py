"""What was read at each test point, what was not, and with which instruments."""

from collections.abc import Iterator

from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import (
    PointReading,
    SafingEntry,
    SafingInstrument,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.state import ReadPoint
from triage_app.report.blocks import Numbering, cell
from triage_app.report.model import Block, Cell, Table
from triage_app.report.plain_text import one_line
from triage_app.report.subject import Subject

NOT_KNOWN = "not known"


def points_read(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return one row for each point, the unread ones included."""
    status = subject.safing
    return [
        Table(
            title="Test points and readings",
            header=("Test point, and why it is one", "First reading", "Second reading"),
            rows=tuple(_point(read) for read in status.points),
            width_fracs=(0.44, 0.28, 0.28),
            caption=numbering.next(
                "Table",
                "Test points: HV+ to HV- / HV+ to chassis / HV- to chassis, and time (UTC). The "
                f"limit is {status.limit_dc_v:g} V DC and {status.limit_ac_v:g} V AC. Probe "
                "contact was confirmed at each reading.",
            ),
        )
    ]


def instruments(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return every instrument once, with what it was used for."""
    used: dict[tuple[str, ...], list[str]] = {}
    for row, purpose in _used(subject.case.safing):
        purposes = used.setdefault(row, [])
        if purpose not in purposes:
            purposes.append(purpose)
    if not used:
        return []
    return [
        Table(
            title="Instruments",
            header=("Instrument", "Serial number", "Category, rated for", "Calibrated", "Used for"),
            rows=tuple(
                (*map(cell, map(one_line, row)), cell("; ".join(purposes)))
                for row, purposes in used.items()
            ),
            width_fracs=(0.28, 0.15, 0.17, 0.17, 0.23),
            caption=numbering.next("Table", "Instruments of the make-safe record."),
        )
    ]


def _point(read: ReadPoint) -> tuple[Cell, ...]:
    return (
        cell(one_line(f"{read.point.name}: {read.point.because}")),
        _reading(read.first),
        _reading(read.second),
    )


def _reading(entry: SafingEntry | None) -> Cell:
    if entry is None or not isinstance(entry.what, PointReading):
        return cell("not read", strong=True)
    volts = " / ".join(f"{each:g}" for each in entry.what.voltages)
    return cell(f"{volts} V {entry.what.current}, {entry.done_at:%H:%M:%S}")


def _used(entries: tuple[SafingEntry, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield each use of an instrument: how it is told, and what for."""
    for entry in entries:
        what = entry.what
        if isinstance(what, StepDone) and what.instrument is not None:
            is_heat = what.unit == "°C"
            yield _told(what.instrument), "temperature" if is_heat else "voltage, proved"
        elif isinstance(what, TemperatureReading):
            yield _told(what.instrument), "temperature"
        elif isinstance(what, IsolationMeasurement):
            yield (what.instrument, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN), "isolation"


def _told(used: SafingInstrument) -> tuple[str, ...]:
    rated = [used.category.value if used.category else ""]
    if used.rated_v is not None:
        rated.append(f"{used.rated_v:g} V")
    due = f"until {used.calibration_due}" if used.calibration_due else NOT_KNOWN
    return (
        used.name,
        used.serial or NOT_KNOWN,
        ", ".join(part for part in rated if part) or "-",
        due,
    )
