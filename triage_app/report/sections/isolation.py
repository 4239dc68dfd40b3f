"""Isolation, the outstanding test of each island: where it stands, and the arithmetic to follow."""

from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import SafingEntry
from triage_app.domain.safing.islands import IslandIsolation, isolation_by_island
from triage_app.domain.safing.points import points_of
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, bullets, cell, heading, intro, lead
from triage_app.report.model import Block, Table
from triage_app.report.plain_text import one_line
from triage_app.report.subject import Subject


def isolation(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return every island with its test, then each measurement with its numbers."""
    islands = isolation_by_island(
        subject.case, points_of(subject.case, subject.rulebook.components)
    )
    known = {one.island for one in islands}
    # What was measured on an island that is no more (a finding was withdrawn) stays in view.
    measured = [
        (entry, entry.what)
        for entry in subject.case.safing
        if isinstance(entry.what, IsolationMeasurement)
    ]
    made: list[Block] = [
        heading(2, "Isolation", "isolation"),
        intro(texts.ISOLATION),
        _table(islands, numbering),
    ]
    for entry, what in measured:
        gone = "" if what.island in known else " The island is no longer one of this car."
        made += _calculation(entry, what, gone)
    return made


def _table(islands: tuple[IslandIsolation, ...], numbering: Numbering) -> Table:
    return Table(
        title="Isolation of each island",
        header=("Island", "Where its test stands"),
        rows=tuple(
            (
                cell(one_line(_named(one))),
                cell(_upper(one.said), strong=one.is_outstanding),
            )
            for one in islands
        ),
        width_fracs=(0.55, 0.45),
        caption=numbering.next(
            "Table", f"Isolation, an outstanding test of {labels.count(len(islands), 'island')}."
        ),
    )


def _named(one: IslandIsolation) -> str:
    """Return the island, with its points where it has more than the one it is named after."""
    return one.island if len(one.points) == 1 else f"{one.island}: {'; '.join(one.points)}"


def _calculation(entry: SafingEntry, what: IsolationMeasurement, gone: str) -> list[Block]:
    at = f"{entry.done_at:%Y-%m-%d %H:%M:%S} UTC"
    said = f"{what.method}, {at}: {what.verdict}.{gone}"
    by = f"Recorded by {entry.recorded.by}; {what.instrument}; {what.procedure}."
    return [
        lead(f"{_upper(one_line(what.island))}:", said, stays_with_next=True),
        bullets(*what.calculation, f"{_upper(what.system.reference.cited)}.", one_line(by)),
    ]


def _upper(said: str) -> str:
    return said[0].upper() + said[1:]
