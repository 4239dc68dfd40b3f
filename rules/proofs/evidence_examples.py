"""Proof that every row of evidence counts where it should, just not in its near miss, and matters.

Two things make a softened row noticed: without any one record of its example a row must not count,
so a test that it no longer needs stands out; and what it leaves must decide in one of its examples.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from rules.engine import assess
from rules.evidence_rule import EvidenceRule
from rules.example import EvidenceExample, ExpectedResidual
from rules.model import CaseFacts, Residual
from rules.rulebook import Rulebook
from rules.terms import RuleId


def evidence_example_faults(book: Rulebook) -> Iterator[str]:
    """Yield one sentence for each row without an example and each example that does not hold."""
    for row in book.evidence.rules:
        examples = [one for one in book.evidence.examples if one.rule == row.id]
        if not examples:
            yield f"{row.id}: has no example; nothing shows that it can count."
        yield from row_faults(row, examples, book)


def row_faults(
    row: EvidenceRule, examples: Sequence[EvidenceExample], book: Rulebook
) -> Iterator[str]:
    """Yield what does not hold in the examples of one row.

    A shop's stricter rules may leave more; to the letter the examples are the book's alone.
    """
    found = [(example, remains(example.hit, book)) for example in examples]
    if book.overlay is not None:
        for example, left in found:
            if left is None or not outcome_of(left).covers(example.expect):
                yield f"{row.id}: the shop's rules leave less in its example."
        return
    for example, left in found:
        yield from _example_faults(example, left, book)
    if examples:
        yield from _idle_faults(row, [left for _, left in found if left is not None])


def remains(case: CaseFacts, book: Rulebook) -> Residual | None:
    """Return what remains of the first finding of an example."""
    return assess(case, book).findings[0].residual


def outcome_of(residual: Residual) -> ExpectedResidual:
    """Return what remains as examples state it."""
    return ExpectedResidual(
        likelihood=residual.likelihood, risk=residual.risk, disposition=residual.disposition
    )


def _counted(residual: Residual | None) -> frozenset[RuleId]:
    return frozenset(reason.rule_id for reason in residual.reasons) if residual else frozenset()


def _example_faults(
    example: EvidenceExample, left: Residual | None, book: Rulebook
) -> Iterator[str]:
    if left is None or example.rule not in _counted(left):
        yield f"{example.rule}: does not count in its example."
        return
    if example.rule in _counted(remains(example.miss, book)):
        yield f"{example.rule}: counts in its near miss."
    if (found := outcome_of(left)) != example.expect:
        yield f"{example.rule}: its example leaves {_words(found)}, not {_words(example.expect)}."
    for record in example.hit.evidence:
        others = tuple(one for one in example.hit.evidence if one is not record)
        if example.rule in _counted(remains(replace(example.hit, evidence=others), book)):
            yield f"{example.rule}: counts in its example without the record '{record.id}'."


def _idle_faults(row: EvidenceRule, found: Sequence[Residual]) -> Iterator[str]:
    if row.then.likelihood is not None and not any(row.id in one.decided_by for one in found):
        yield f"{row.id}: its likelihood decides in none of its examples."
    decides = any(row.id in one.repair_decided_by for one in found)
    if row.then.disposition is not None and not decides:
        yield f"{row.id}: its repair decides in none of its examples."


def _words(left: ExpectedResidual) -> str:
    return f"{left.likelihood} {left.risk.name} {left.disposition.name}".lower()
