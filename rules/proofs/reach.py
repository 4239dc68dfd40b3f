"""Proof that every row is of use: somewhere it fires, and somewhere the answer hangs on it."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from rules.case_answer import CaseAssessment
from rules.engine import assess
from rules.example import Example
from rules.proofs.product import Product
from rules.reading.pairs import pair_rules
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import RuleId


def reach_faults(book: Rulebook) -> tuple[str, ...]:
    """Return a sentence for each row without which no answer of the product or example changes."""
    alone = [rule for rule in book.rules.values() if rule.beside is None]
    idle = {rule.id for rule in alone} - set(_deciding_alone(book))
    others = set(book.rule_ids) - {rule.id for rule in alone}
    idle |= others - set(_deciding_in_examples(book, others))
    return tuple(f"{rule_id}: nothing changes without it." for rule_id in sorted(idle))


def _deciding_alone(book: Rulebook) -> Iterator[RuleId]:
    """Yield the rows of one finding that some answer of the full product hangs on."""
    product = Product(book)
    found: set[RuleId] = set()
    for rules in _sets_of_rows(book):
        whole = product.answers(rules)
        for rule in rules:
            others = [one for one in rules if one is not rule]
            if rule.id not in found and product.answers(others) != whole:
                found.add(rule.id)
                yield rule.id


def _sets_of_rows(book: Rulebook) -> Iterable[tuple[Rule, ...]]:
    """Return the rows that speak of one pair together, each such set once."""
    sets: dict[tuple[RuleId, ...], tuple[Rule, ...]] = {}
    for of_pair in book.pairs.values():
        rules = tuple([candidate.rule for candidate in of_pair.alone])
        sets[tuple([rule.id for rule in rules])] = rules
    return sets.values()


def _deciding_in_examples(book: Rulebook, wanted: set[RuleId]) -> Iterator[RuleId]:
    """Yield the rows without which their own example gives another answer."""
    for example in book.examples:
        if example.rule in wanted:
            without = _book_without(book, example.rule, example)
            if _answer(assess(example.hit, book)) != _answer(assess(example.hit, without)):
                yield example.rule


def _answer(case: CaseAssessment) -> tuple[object, ...]:
    first = case.findings[0] if case.findings else None
    return (
        None
        if first is None
        else (
            first.consequence,
            first.likelihood,
            first.hv_flag,
            first.disposition,
            first.signal_word,
            first.actions,
            first.open_tests,
        ),
        case.risk,
        case.hv_flag,
        case.signal_word,
        case.actions,
        case.open_tests,
        case.quarantine.level,
        case.transport.transport_class,
    )


def _book_without(book: Rulebook, rule_id: RuleId, example: Example) -> Rulebook:
    rules = {name: rule for name, rule in book.rules.items() if name != rule_id}
    parts = {finding.component for finding in example.hit.findings}
    damages = {finding.damage for finding in example.hit.findings}
    pairs = pair_rules(
        {name: part for name, part in book.components.items() if name in parts},
        {name: damage for name, damage in book.damage_types.items() if name in damages},
        rules,
    )
    return replace(
        book,
        rules=rules,
        pairs=pairs,
        stop_rules={k: v for k, v in book.stop_rules.items() if k != rule_id},
        quarantine_rules={k: v for k, v in book.quarantine_rules.items() if k != rule_id},
        transport_rules={k: v for k, v in book.transport_rules.items() if k != rule_id},
    )
