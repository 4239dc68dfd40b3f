"""Proof that evidence is complete and never lowers by being less.

Every rule that a finding can carry is answered by the row for its part replaced, or is listed as a
matter of facts; every other rule that sets a likelihood is answered by a test or listed as one that
none answers. A test that a row needs is one that the book asks for.
"""

from collections.abc import Iterator

from rules.evidence_rule import EvidenceRule
from rules.proofs.setting import Pair, seen_in
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import Disposition, OpenTestId, Origin, RuleId


def evidence_faults(book: Rulebook) -> tuple[str, ...]:
    """Return one sentence for each rule or test that the table of evidence leaves hanging."""
    return (
        *_unlisted_faults(book),
        *dict.fromkeys(
            fault
            for pair in book.pairs
            for fault in (*_renewal_faults(book, pair), *_unasked_faults(book, pair))
        ),
    )


def _unlisted_faults(book: Rulebook) -> Iterator[str]:
    """Yield rules that set a likelihood and are answered by nothing, or against what is listed."""
    evidence = book.evidence
    by_test = _answered(row for row in evidence.rules if not row.given.replaced)
    by_renewal = _answered(row for row in evidence.rules if row.given.replaced)
    for rule in book.rules.values():
        if rule.then.likelihood is None or rule.origin is not Origin.BOOK:
            continue
        is_listed = rule.id in evidence.replacement_only
        if rule.id in evidence.by_facts:
            if is_listed or rule.id in by_test | by_renewal:
                yield f"{rule.id}: is a matter of facts, yet the table of evidence answers it."
            continue
        if rule.id not in by_renewal:
            yield f"{rule.id}: no row of evidence for a part replaced answers it."
        if is_listed and rule.id in by_test:
            yield f"{rule.id}: only a replacement is to answer it, yet a test does."
        if not is_listed and rule.id not in by_test:
            yield f"{rule.id}: no test answers it, and it is not listed under replacement_only."


def _answered(rows: Iterator[EvidenceRule]) -> frozenset[RuleId]:
    return frozenset(rule_id for row in rows for rule_id in row.answers)


def _renewal_faults(book: Rulebook, pair: Pair) -> Iterator[str]:
    """Yield what stays for ever although the part was replaced."""
    if book.components[pair[0]].origin is not Origin.BOOK:
        return  # a shop's part without a row keeps its first answer, which is the safe side
    rows = [row for row in _rows_of(book, pair) if row.given.replaced]
    carried = [rule for rule in _rules_of(book, pair) if rule.origin is Origin.BOOK]
    if any(rule.id in book.evidence.by_facts for rule in carried):
        return
    if len(rows) != 1:
        yield f"{pair[0]}: needs one row of evidence for this part replaced, has {len(rows)}."
        return
    for rule in carried:
        then = rule.then
        stays = then.likelihood is not None or (then.disposition or 0) > Disposition.MONITOR
        if stays and rule.id not in rows[0].answers:
            yield f"{rows[0].id}: leaves {rule.id} unanswered although the part was replaced."


def _unasked_faults(book: Rulebook, pair: Pair) -> Iterator[str]:
    """Yield tests by which a row answers a rule, though nobody is asked to make them."""
    carried = _rules_of(book, pair)
    for row in _rows_of(book, pair):
        answered = [rule for rule in carried if rule.id in row.answers]
        if not answered or row.given.replaced:
            continue
        asked: frozenset[OpenTestId] = frozenset().union(*(rule.then.tests for rule in carried))
        for test in sorted(row.given.met - asked):
            yield f"{row.id}: needs {test}, which no rule asks for on {'/'.join(pair)}."


def _rows_of(book: Rulebook, pair: Pair) -> list[EvidenceRule]:
    return book.evidence.of(seen_in(book, pair, {}))


def _rules_of(book: Rulebook, pair: Pair) -> list[Rule]:
    of_pair = book.pairs[pair]
    return [*(one.rule for one in of_pair.alone), *of_pair.because_of_another]
