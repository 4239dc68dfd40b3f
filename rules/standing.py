"""How a finding stands with its records: which tests are met, which rows of evidence count."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.evidence import Evidence, EvidenceKind, TestOutcome
from rules.evidence_rule import EvidenceBook, EvidenceRule
from rules.seen import Seen
from rules.terms import MAKER_CRITERION, Disposition, OpenTestId

# From best to worst: of several results for one test the worst counts.
_WORSE = (TestOutcome.MET, TestOutcome.INCONCLUSIVE, TestOutcome.NOT_MET)


@dataclass(frozen=True, slots=True)
class Standing:
    """A finding with its records.

    ``answering`` rows leave less of the rules that they name; ``raising`` rows ask for more.
    ``failed`` are tests whose criterion was not met, ``still_open`` those without a result that
    counts. ``is_renewed`` is true when the part was replaced and every test is met that this asks.
    """

    answering: tuple[EvidenceRule, ...]
    raising: tuple[EvidenceRule, ...]
    failed: frozenset[OpenTestId]
    still_open: frozenset[OpenTestId]
    is_renewed: bool


@dataclass(frozen=True, slots=True)
class _Records:
    """What the records of one finding say, taken together."""

    results: Mapping[OpenTestId, TestOutcome]
    lacks_criterion: bool
    replaced: bool
    instructions: frozenset[Disposition]

    def tests(self, outcome: TestOutcome) -> frozenset[OpenTestId]:
        return frozenset(test for test, result in self.results.items() if result is outcome)


def tests_after_renewal(seen: Seen, book: EvidenceBook) -> frozenset[OpenTestId]:
    """Return the tests that are asked for once this part was replaced, beside those of before."""
    rows = [row for row in book.of(seen) if row.given.replaced]
    return frozenset(test for row in rows for test in row.given.met)


def stand(
    seen: Seen, asked: frozenset[OpenTestId], evidence: Sequence[Evidence], book: EvidenceBook
) -> Standing:
    """Return how a finding stands for which the first answer asked these tests."""
    records = _together(evidence)
    rows = book.of(seen)
    met = records.tests(TestOutcome.MET) - book.tests_by_facts
    failed = records.tests(TestOutcome.NOT_MET) - book.tests_by_facts
    renewing = [row for row in rows if row.given.replaced] if records.replaced else []
    wanted = asked - book.tests_by_facts
    renewed = [row for row in renewing if row.given.met | (wanted - row.of_old_part) <= met]
    still_open = (asked - met) | _follow_ups(renewing, met)
    if records.lacks_criterion:
        still_open |= {MAKER_CRITERION}
    if renewed:
        # Tests of the old part, and what the maker said of it, went with it.
        gone = frozenset[OpenTestId]().union(*(row.of_old_part for row in renewed))
        still_open, failed = still_open - gone, failed - gone
        instructions = frozenset[Disposition]()
    else:
        instructions = records.instructions
    raising = [row for row in rows if _raises(row, failed, instructions)]
    tested = [] if Disposition.REPLACE in instructions else _tested(rows, met)
    return Standing(
        answering=(*renewed, *tested),
        raising=tuple(raising),
        failed=failed,
        still_open=still_open,
        is_renewed=bool(renewed),
    )


def _raises(
    row: EvidenceRule, failed: frozenset[OpenTestId], instructions: frozenset[Disposition]
) -> bool:
    given = row.given
    return (
        bool(given.not_met & failed)
        or (given.any_not_met and bool(failed))
        or (given.instruction is not None and given.instruction in instructions)
    )


def _tested(rows: Iterable[EvidenceRule], met: frozenset[OpenTestId]) -> list[EvidenceRule]:
    """Return the rows whose every test met its criterion; a maker's "replace" outvotes them all."""
    return [
        row for row in rows if not row.given.replaced and row.given.met and row.given.met <= met
    ]


def _follow_ups(
    renewing: Iterable[EvidenceRule], met: frozenset[OpenTestId]
) -> frozenset[OpenTestId]:
    return frozenset(test for row in renewing for test in row.given.met - met)


def _together(evidence: Iterable[Evidence]) -> _Records:
    results: dict[OpenTestId, TestOutcome] = {}
    instructions: set[Disposition] = set()
    lacks_criterion = replaced = False
    for record in evidence:
        if record.test is not None and record.result is not None:
            known = results.get(record.test, record.result)
            results[record.test] = max(known, record.result, key=_WORSE.index)
            lacks_criterion |= record.result is not record.outcome
        if record.instruction is not None:
            instructions.add(record.instruction)
        replaced |= record.kind is EvidenceKind.PART_REPLACED
    return _Records(results, lacks_criterion, replaced, frozenset(instructions))
