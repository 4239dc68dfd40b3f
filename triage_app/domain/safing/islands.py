"""Isolation, the outstanding test of each island: what was measured there, and the record of it.

A measurement never closes the test by itself. Below the reference it goes on record as not met;
not below it as inconclusive, because only the maker's value decides and a named person compares.
"""

from dataclasses import dataclass
from typing import Final

from rules import EvidenceKind, OpenTestId, TestOutcome
from triage_app.domain.case import Case
from triage_app.domain.evidence import EvidenceEntry, Instrument
from triage_app.domain.ids import FindingId
from triage_app.domain.isolation import IsolationMeasurement, IsolationVerdict
from triage_app.domain.safing.entries import SafingEntry
from triage_app.domain.safing.points import TestPoint, islands_of

ISOLATION_TEST: Final = OpenTestId("isolation_resistance")
OUTSTANDING: Final = "outstanding: nobody measured it here"


@dataclass(frozen=True, slots=True, kw_only=True)
class IslandIsolation:
    """One island, its points, and its measurements in order; none is outstanding."""

    island: str
    points: tuple[str, ...]
    measured: tuple[SafingEntry, ...]

    @property
    def is_outstanding(self) -> bool:
        """True while nobody measured this island, or the last measurement is below."""
        if not self.measured:
            return True
        last = self.measured[-1].what
        return isinstance(last, IsolationMeasurement) and last.verdict is IsolationVerdict.BELOW

    @property
    def said(self) -> str:
        """Where the test of this island stands, in one line; never more than the arithmetic."""
        verdicts = [
            entry.what.verdict
            for entry in self.measured
            if isinstance(entry.what, IsolationMeasurement)
        ]
        if not verdicts:
            return OUTSTANDING
        said = str(verdicts[-1])
        if verdicts[-1] is not IsolationVerdict.BELOW and IsolationVerdict.BELOW in verdicts:
            return f"{said} (an earlier measurement was below the reference)"
        return said


def isolation_by_island(case: Case, points: tuple[TestPoint, ...]) -> tuple[IslandIsolation, ...]:
    """Return every island of the car with what was measured there, in order of the points."""
    return tuple(
        IslandIsolation(
            island=island,
            points=tuple(point.name for point in points if point.island == island),
            measured=tuple(
                entry
                for entry in case.safing
                if isinstance(entry.what, IsolationMeasurement) and entry.what.island == island
            ),
        )
        for island in islands_of(points)
    )


def not_measured(islands: tuple[IslandIsolation, ...]) -> str:
    """Return which islands still lack the test, in a sentence, or "" where none does.

    The result of one island says nothing about another, so whoever accepts one is told of these.
    """
    named = [one.island for one in islands if one.is_outstanding]
    if not named:
        return ""
    return (
        f"Isolation is measured island by island. Not measured, or below the reference: "
        f"{'; '.join(named)}."
    )


def finding_of(case: Case, island: str, points: tuple[TestPoint, ...]) -> FindingId | None:
    """Return the finding that made an island, or None where it is of the car's layout."""
    ids = {point.id for point in points if point.island == island}
    for finding in case.open_findings:
        if any(one.split(":")[:2] == ["finding", finding.id] for one in ids):
            return finding.id
    return None


def isolation_evidence(measured: IsolationMeasurement) -> EvidenceEntry:
    """Return the test result that a measurement is; it is never a criterion met."""
    is_below = measured.verdict is IsolationVerdict.BELOW
    return EvidenceEntry(
        kind=EvidenceKind.TEST_RESULT,
        test=ISOLATION_TEST,
        outcome=TestOutcome.NOT_MET if is_below else TestOutcome.INCONCLUSIVE,
        value=float(f"{measured.resistance_ohm:.6g}"),  # As the calculation prints it.
        unit="ohm",
        instrument=Instrument(name=measured.instrument),
        note=(
            f"Island: {measured.island}. {measured.ohm_per_v:.5g} ohm/V, {measured.verdict}; "
            f"{measured.procedure}."
        ),
    )
