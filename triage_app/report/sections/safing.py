"""The make-safe record: its state in words, steps, readings, temperatures and isolation."""

from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import SafingEntry, StepDone
from triage_app.domain.safing.photo_times import photos_before
from triage_app.domain.safing.state import BATTERY_REMAINS, SafingState, readings_of
from triage_app.domain.safing.told import particulars
from triage_app.domain.safing.watch import watch_of
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, bullets, cell, heading, intro, lead, words
from triage_app.report.model import Block, Look, Paragraph, Table
from triage_app.report.plain_text import one_line
from triage_app.report.subject import Subject


def lead_line(subject: Subject) -> Paragraph:
    """Return the state of the record for page one; never a bare word."""
    status = subject.safing
    if status.state is SafingState.VOID:
        why = "; ".join(void.sentence for void in status.voids)
        return lead("Make-safe record: VOID.", one_line(f"{why}. {texts.COUNTS_LIVE}"), Look.CELL)
    if status.state is SafingState.NOT_RECORDED or status.stands_since is None:
        return lead(texts.MAKE_SAFE_LEAD, texts.MAKE_SAFE_MEANING, Look.CELL)
    said = (
        f"{labels.count(len(status.covered), 'test point')}, {labels.moment(status.stands_since)}, "
        f"read by {status.reader}, recorded by {labels.listed(status.recorders)}; points and what "
        f"is not covered under Make-safe record. {BATTERY_REMAINS}"
    )
    return lead("Absence of voltage recorded at", one_line(said), Look.CELL)


def record(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return the whole record; nothing where nobody began one."""
    if not subject.case.safing:
        return []
    status = subject.safing
    before = photos_before(subject.case, status.stands_since) if status.stands_since else ()
    early = [subject.photo_names[photo.id] for photo in before]
    made: list[Block] = [
        heading(1, "Make-safe record", "make_safe"),
        lead_line(subject),
        lead("Not covered:", f"{one_line('; '.join(status.not_covered))}. {BATTERY_REMAINS}"),
    ]
    if status.covered:
        made.append(lead("Test points:", f"{one_line('; '.join(status.covered))}."))
    made += [lead(f"{one_line(void.sentence)}.", void.cause.do_now) for void in status.voids]
    if status.remarks:
        made.append(bullets(*status.remarks))
    if early:
        made.append(lead("Photos from before the record:", f"photo {labels.listed(early)}."))
    made += [*_steps(subject, numbering), *_readings(subject, numbering)]
    return [*made, *_temperatures(subject, numbering), *_isolation(subject)]


def _steps(subject: Subject, numbering: Numbering) -> list[Block]:
    done = [(entry, entry.what) for entry in subject.safing.done]
    rows = tuple(
        (
            cell(what.step.value),
            cell(_at(entry)),
            cell(one_line(entry.recorded.by)),
            cell(one_line(particulars(what, entry.note)) or "done"),
        )
        for entry, what in done
        if isinstance(what, StepDone)
    )
    if not rows:
        return []
    return [
        Table(
            title="Steps of the make-safe record",
            header=("Step", "Time (UTC)", "Recorded by", "What was written down"),
            rows=rows,
            width_fracs=(0.22, 0.16, 0.17, 0.45),
            caption=numbering.next("Table", "Steps of the make-safe record, in order."),
        )
    ]


def _readings(subject: Subject, numbering: Numbering) -> list[Block]:
    rows = tuple(
        (
            cell(one_line(point.name)),
            cell("first" if reading.turn == 1 else "second"),
            *(cell(f"{volts:g} V {reading.current}") for volts in reading.voltages),
            cell(_at(entry)),
        )
        for point, reading, entry in readings_of(subject.safing)
    )
    if not rows:
        return []
    return [
        Table(
            title="Readings at the test points",
            header=(
                "Test point",
                "Reading",
                "HV+ to HV-",
                "HV+ to chassis",
                "HV- to chassis",
                "Time",
            ),
            rows=rows,
            width_fracs=(0.29, 0.1, 0.14, 0.15, 0.15, 0.17),
            caption=numbering.next(
                "Table",
                f"Voltages read; the limit is {subject.safing.limit_dc_v:g} V DC and "
                f"{subject.safing.limit_ac_v:g} V AC. Probe contact was confirmed at each.",
            ),
        )
    ]


def _temperatures(subject: Subject, numbering: Numbering) -> list[Block]:
    watch = watch_of(subject.case.safing, subject.material.safing_policy)
    if not watch.readings:
        return []
    trends = [
        f"{trend.place}: {trend.rise_c:+.1f} °C since the first reading there, largest rise "
        f"{trend.highest_rise_c:.1f} °C."
        for trend in watch.places
        if trend.rise_c is not None
    ]
    table = Table(
        title="Temperatures",
        header=("Time (UTC)", "Place", "Temperature", "Instrument", "Recorded by"),
        rows=tuple(
            (
                cell(f"{felt.at:%Y-%m-%d %H:%M}"),
                cell(one_line(felt.place)),
                cell(f"{felt.value_c:g} °C"),
                cell(one_line(f"{felt.instrument.name} {felt.instrument.serial}")),
                cell(one_line(felt.by)),
            )
            for felt in watch.readings
        ),
        width_fracs=(0.2, 0.26, 0.14, 0.2, 0.2),
        caption=numbering.next("Table", "Temperatures over time."),
    )
    made: list[Block] = [heading(2, "Temperature watch", "watch"), intro(texts.WATCH), table]
    return [*made, bullets(*map(one_line, trends))] if trends else made


def _isolation(subject: Subject) -> list[Block]:
    made: list[Block] = []
    for entry in subject.case.safing:
        if isinstance(entry.what, IsolationMeasurement):
            measured = entry.what
            made.append(lead(f"{one_line(measured.island)}:", f"{measured.verdict}."))
            by = f"{entry.recorded.by}, {_at(entry)}; {measured.instrument}; {measured.procedure}"
            made.append(
                bullets(*measured.calculation, measured.system.reference.cited, one_line(by))
            )
    if not made:
        return []
    return [heading(2, "Isolation", "isolation"), words(texts.ISOLATION), *made]


def _at(entry: SafingEntry) -> str:
    return f"{entry.done_at:%Y-%m-%d %H:%M:%S}"
