"""Proof that every row of evidence counts where it should, and just not in its near miss."""

from collections.abc import Iterator

from rules.engine import assess
from rules.example import EvidenceExample, ExpectedResidual
from rules.model import CaseFacts, Residual
from rules.rulebook import Rulebook
from rules.terms import RuleId


def evidence_example_faults(book: Rulebook) -> Iterator[str]:
    """Yield one sentence for each row without an example and each example that does not hold."""
    shown = {example.rule for example in book.evidence.examples}
    for row in book.evidence.rules:
        if row.id not in shown:
            yield f"{row.id}: has no example; nothing shows that it can count."
    for example in book.evidence.examples:
        yield from _faults(example, book)


def remains(case: CaseFacts, book: Rulebook) -> Residual | None:
    """Return what remains of the first finding of an example."""
    return assess(case, book).findings[0].residual


def counted(residual: Residual | None) -> frozenset[RuleId]:
    """Return the rows of evidence that counted."""
    return frozenset(reason.rule_id for reason in residual.reasons) if residual else frozenset()


def _faults(example: EvidenceExample, book: Rulebook) -> Iterator[str]:
    hit = remains(example.hit, book)
    if hit is None:
        yield f"{example.rule}: nothing on record touches its example."
        return
    left = outcome_of(hit)
    if book.overlay is not None and left.covers(example.expect):
        return  # a shop's stricter rules may leave more; to the letter it is the book alone
    if example.rule not in counted(hit):
        yield f"{example.rule}: does not count in its example."
    if example.rule in counted(remains(example.miss, book)):
        yield f"{example.rule}: counts in its near miss."
    if left != example.expect:
        yield f"{example.rule}: its example leaves {_words(left)}, not {_words(example.expect)}."


def outcome_of(residual: Residual) -> ExpectedResidual:
    """Return what remains as examples state it."""
    return ExpectedResidual(
        likelihood=residual.likelihood, risk=residual.risk, disposition=residual.disposition
    )


def _words(left: ExpectedResidual) -> str:
    return f"{left.likelihood} {left.risk.name} {left.disposition.name}".lower()
