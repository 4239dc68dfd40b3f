"""One row about evidence: on which findings it speaks, what must be given, what it answers."""

from dataclasses import dataclass

from rules.condition import Selector
from rules.example import EvidenceExample
from rules.model import Citation, Reason
from rules.seen import Seen
from rules.terms import Basis, Disposition, Likelihood, OpenTestId, RuleId


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What must be on record for a row to count.

    ``met``: every one of these tests met its criterion. ``replaced``: the part was replaced, and
    every test asked of the finding is met, save those of the old part. ``not_met``: one of these
    tests did not meet its criterion; ``any_not_met``: some test did not. ``instruction``: the maker
    says so of this part.
    """

    met: frozenset[OpenTestId] = frozenset()
    replaced: bool = False
    not_met: frozenset[OpenTestId] = frozenset()
    any_not_met: bool = False
    instruction: Disposition | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remains:
    """What a row leaves of the rules that it answers, or what it raises them to."""

    likelihood: Likelihood | None = None
    disposition: Disposition | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRule:
    """A row. ``answers`` are rules of the first answer; ``of_old_part`` are tests that go with it.

    A row that answers rules only ever leaves less than they asked; any other row only ever raises.
    """

    id: RuleId
    table: str
    selector: Selector
    given: Given
    answers: frozenset[RuleId]
    of_old_part: frozenset[OpenTestId]
    then: Remains
    because: str
    basis: Basis
    cites: tuple[str, ...]
    citations: tuple[Citation, ...]

    def reason(self, facts: tuple[str, ...]) -> Reason:
        """Return why this row counted, as it is shown and stored."""
        return Reason(
            rule_id=self.id,
            because=self.because,
            basis=self.basis,
            citations=self.citations,
            facts=facts,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceBook:
    """The table of evidence.

    ``replacement_only`` are rules that no test answers, only the part replaced; ``by_facts`` rules
    that only better facts answer. ``tests_by_facts`` are tests that no recorded result closes.
    """

    rules: tuple[EvidenceRule, ...]
    replacement_only: frozenset[RuleId]
    by_facts: frozenset[RuleId]
    tests_by_facts: frozenset[OpenTestId]
    examples: tuple[EvidenceExample, ...] = ()

    def of(self, seen: Seen) -> list[EvidenceRule]:
        """Return the rows that speak of this finding."""
        return [row for row in self.rules if _speaks_of(row, seen)]


def _speaks_of(row: EvidenceRule, seen: Seen) -> bool:
    return row.selector.takes_part(seen.component) and row.selector.takes_damage(seen.damage)
