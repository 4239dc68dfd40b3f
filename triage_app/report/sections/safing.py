"""The make-safe record: its state in words, steps, readings, temperatures and isolation."""

from collections.abc import Iterator

from triage_app.domain.safing.entries import SafingEntry, StepDone
from triage_app.domain.safing.photo_times import NONE_DURING, photos_before
from triage_app.domain.safing.sources import BASES
from triage_app.domain.safing.state import BATTERY_REMAINS, SafingState
from triage_app.domain.safing.told import entry_name, particulars
from triage_app.domain.safing.watch import Felt, PlaceTrend, Watch, watch_of
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, bullets, cell, heading, intro, lead, words
from triage_app.report.model import Block, Figure, Look, Paragraph, PlotPicture, Table
from triage_app.report.plain_text import one_line
from triage_app.report.sections.isolation import isolation
from triage_app.report.sections.points_read import instruments, points_read
from triage_app.report.subject import Subject

_PLOT_HEIGHT_FRAC = 0.36


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
    made: list[Block] = [
        heading(1, "Make-safe record", "make_safe"),
        lead_line(subject),
        lead("Not covered:", f"{one_line('; '.join(status.not_covered))}. {BATTERY_REMAINS}"),
    ]
    if status.covered:
        made.append(lead("Absence recorded at:", f"{one_line('; '.join(status.covered))}."))
    made += [
        lead(f"{_upper(one_line(void.sentence))}.", void.cause.do_now) for void in status.voids
    ]
    if status.remarks:
        made.append(bullets(*status.remarks))
    made += _photos_before(subject)
    made += [*_steps(subject, numbering), *points_read(subject, numbering)]
    made += [words(texts.NEVER_REPLACED), *instruments(subject, numbering)]
    made += _left_out(subject, numbering)
    made += [*_temperatures(subject, numbering), *isolation(subject, numbering)]
    return [*made, heading(2, "Where the steps and figures are from", "safing_sources"), _bases()]


def _bases() -> Block:
    return bullets(texts.BASES, *(basis.cited for basis in BASES))


def _photos_before(subject: Subject) -> list[Block]:
    """Return which photos were taken before the record stood; all of them, once it is void."""
    case, status = subject.case, subject.safing
    if status.state is SafingState.VOID and any(case.marks_on(each.id) for each in case.photos):
        return [lead("Photos:", NONE_DURING)]
    before = photos_before(case, status.counts_since) if status.counts_since else ()
    if not before:
        return []
    early = [subject.photo_names[photo.id] for photo in before]
    return [lead("Photos from before the record:", f"photo {labels.listed(early)}.")]


def _steps(subject: Subject, numbering: Numbering) -> list[Block]:
    done = [(entry, entry.what) for entry in subject.safing.done]
    rows = tuple(
        (
            cell(what.step.value),
            cell(_at(entry)),
            cell(one_line(entry.recorded.by)),
            cell(one_line(_with_photo(subject, entry, particulars(what, entry.note))) or "done"),
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
            width_fracs=(0.22, 0.2, 0.16, 0.42),
            caption=numbering.next("Table", "Steps of the make-safe record, in order."),
        )
    ]


def _with_photo(subject: Subject, entry: SafingEntry, said: str) -> str:
    if entry.photo_id is None:
        return said
    photo = f"photo {subject.photo_names[entry.photo_id]}"
    return f"{said}; {photo}" if said else photo


def _left_out(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return what was entered and does not count, so that nobody takes it for a part of it."""
    rows = tuple(
        (
            cell(one_line(entry_name(entry.what))),
            cell(_at(entry)),
            cell(one_line(entry.recorded.by)),
            cell(one_line(reason)),
        )
        for entry, reason in subject.safing.left_out
    )
    if not rows:
        return []
    return [
        Table(
            title="Entries that do not count",
            header=("Entry", "Time (UTC)", "Recorded by", "Why it does not count"),
            rows=rows,
            width_fracs=(0.26, 0.2, 0.16, 0.38),
            caption=numbering.next("Table", "Entries of the record that do not count."),
        )
    ]


def _temperatures(subject: Subject, numbering: Numbering) -> list[Block]:
    watch = watch_of(subject.case.safing, subject.material.safing_policy)
    if not watch.readings:
        return []
    table = Table(
        title="Temperatures",
        header=("Time (UTC)", "Place", "Temperature", "Instrument", "Recorded by"),
        rows=tuple(
            (
                cell(f"{felt.at:%Y-%m-%d %H:%M}"),
                cell(one_line(felt.place)),
                cell(_warmth(felt)),
                cell(one_line(f"{felt.instrument.name} {felt.instrument.serial}")),
                cell(one_line(felt.by)),
            )
            for felt in watch.readings
        ),
        width_fracs=(0.18, 0.24, 0.2, 0.2, 0.18),
        caption=numbering.next("Table", "Temperatures over time."),
    )
    return [
        heading(2, "Temperature watch", "watch"),
        intro(texts.WATCH),
        _plot(subject, watch, numbering),
        bullets(*map(one_line, (*map(_trend, watch.places), *_watched(watch)))),
        table,
    ]


def _warmth(felt: Felt) -> str:
    air = "" if felt.ambient_c is None else f" (air {felt.ambient_c:g} °C)"
    return f"{felt.value_c:g} °C{air}"


def _plot(subject: Subject, watch: Watch, numbering: Numbering) -> Figure:
    width_mm = subject.layout.text_width_mm
    first, last = watch.readings[0], watch.readings[-1]
    plot = PlotPicture(
        name="temperature-watch",
        watch=watch,
        alt=(
            f"Temperatures at {labels.count(len(watch.places), 'place')} from "
            f"{labels.moment(first.at)} to {labels.moment(last.at)}; the figures are in the table."
        ),
        width_mm=width_mm,
        height_mm=width_mm * _PLOT_HEIGHT_FRAC,
    )
    caption = numbering.next("Figure", "Temperatures over time, by place.")
    return Figure(pictures=(plot,), caption=caption)


def _trend(trend: PlaceTrend) -> str:
    if trend.rise_c is None:
        return f"{trend.place}: a single reading, so no rise can be seen."
    said = f"{trend.place}: {trend.rise_c:+z.1f} °C since the first reading there"
    if trend.per_hour_c is not None and trend.lately_per_hour_c is not None:
        said += (
            f", {trend.per_hour_c:+z.1f} °C per hour ({trend.lately_per_hour_c:+z.1f} °C per hour "
            "between the last two)"
        )
    return f"{said}, largest rise {trend.highest_rise_c:.1f} °C."


def _watched(watch: Watch) -> Iterator[str]:
    yield f"How the car was kept away at the last reading: {watch.kept}."
    if watch.signs:
        seen = ", ".join(f"{sign} ({labels.moment(at)})" for sign, at in watch.signs)
        yield f"Signs that were noted: {seen}."
    else:
        yield texts.NO_SIGN
    if watch.next_due is not None:
        yield f"The next reading was due at {labels.moment(watch.next_due)}."


def _at(entry: SafingEntry) -> str:
    return f"{entry.done_at:%Y-%m-%d %H:%M:%S}"


def _upper(said: str) -> str:
    return said[0].upper() + said[1:]
