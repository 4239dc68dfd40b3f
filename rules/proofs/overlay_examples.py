"""Proof that each rule of a shop says something: its example must come out otherwise without it."""

from collections.abc import Iterator
from dataclasses import replace

from rules.case_answer import CaseAssessment
from rules.engine import assess
from rules.example import Example
from rules.model import CaseFacts
from rules.proofs.setting import Pair
from rules.rule import PairRules
from rules.rulebook import Rulebook
from rules.terms import Origin, RuleId


def idle_rules(both: Rulebook) -> Iterator[str]:
    """Yield a sentence for each rule of the shop whose example is the same without it."""
    for example in both.examples:
        if not _is_shops(example.rule, both):
            continue
        with_it = assess(example.hit, both)
        without = assess(example.hit, _without(example, both))
        if _what_counts(with_it) == _what_counts(without):
            yield f"{example.rule}: its example is the same without it; the book says so already."


def _is_shops(rule_id: RuleId, both: Rulebook) -> bool:
    if rule_id in both.stop_rules:
        return both.stop_rules[rule_id].reason.origin is Origin.SHOP
    return rule_id in both.rules and both.rules[rule_id].origin is Origin.SHOP


def _without(example: Example, both: Rulebook) -> Rulebook:
    """Return the book in which this rule speaks of none of the pairs of its example."""
    pairs = dict(both.pairs)
    for pair in _pairs(example.hit):
        pairs[pair] = _less(pairs[pair], example.rule)
    stops = {name: stop for name, stop in both.stop_rules.items() if name != example.rule}
    return replace(both, pairs=pairs, stop_rules=stops)


def _pairs(case: CaseFacts) -> set[Pair]:
    return {(finding.component, finding.damage) for finding in case.findings}


def _less(rules: PairRules, rule_id: RuleId) -> PairRules:
    return PairRules(
        alone=tuple(one for one in rules.alone if one.rule.id != rule_id),
        because_of_another=tuple(r for r in rules.because_of_another if r.id != rule_id),
        upon_another=tuple(r for r in rules.upon_another if r.id != rule_id),
    )


def _what_counts(case: CaseAssessment) -> tuple[object, ...]:
    findings = tuple(
        (
            found.consequence,
            found.likelihood,
            found.hv_flag,
            found.disposition,
            found.signal_word,
            found.actions,
            found.open_tests,
        )
        for found in case.findings
    )
    return (findings, case.hv_flag, case.signal_word, case.actions, case.open_tests)
