"""Weakening or removing any row of the book is noticed: proven by doing it, row by row.

What a row asks for is checked against the examples on which it fires; which parts and damages a
row names is checked against everything known, everything unknown, and a few settings between.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import pytest

from rules import (
    Assessment,
    Component,
    DamageType,
    Powertrain,
    Rulebook,
    assess,
)
from rules.condition import Check, unmeasured_if_met
from rules.example import Example
from rules.proofs.setting import Pair, Setting, plain_settings, seen_in
from rules.proofs.wiring import fired_rules
from rules.rule import Rule
from rules.tally import Tally
from tests.unit.rules.book import the_book
from tests.unit.rules.mutants import weakenings

RULES = list(the_book().rules.values())
# A row that another one covers only because every zone of today's map borders on high voltage.
COVERED_BY_THE_MAP = {("CON-050", "fluid")}


@cache
def examples_of() -> Mapping[str, list[tuple[Example, Assessment]]]:
    """Return, for each rule, the examples on which it fires, with their outcomes."""
    found: dict[str, list[tuple[Example, Assessment]]] = {rule.id: [] for rule in RULES}
    for example in the_book().examples:
        case = assess(example.hit, the_book())
        for rule_id in fired_rules(case) & set(found):
            found[rule_id].append((example, case.findings[0]))
    return found


def book_with(rule: Rule) -> Rulebook:
    """Return the book with this rule in the place of the one with the same id."""

    def swapped(one: Rule) -> Rule:
        return rule if one.id == rule.id else one

    book = the_book()
    touched = {
        (finding.component, finding.damage)
        for example, _ in examples_of()[rule.id]
        for finding in example.hit.findings
    }
    pairs = dict(book.pairs)
    for pair in touched:
        of_pair = pairs[pair]
        pairs[pair] = replace(
            of_pair,
            alone=tuple(replace(one, rule=swapped(one.rule), ready=None) for one in of_pair.alone),
            because_of_another=tuple(swapped(one) for one in of_pair.because_of_another),
            upon_another=tuple(swapped(one) for one in of_pair.upon_another),
        )
    return replace(book, pairs=pairs)


def what_counts(found: Assessment) -> tuple[object, ...]:
    return (
        found.consequence,
        found.likelihood,
        found.hv_flag,
        found.disposition,
        found.signal_word,
        found.actions,
        found.open_tests,
    )


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_an_example_notices_when_a_row_asks_for_less(rule: Rule) -> None:
    unnoticed = []
    for name, then in weakenings(rule.then):
        book = book_with(replace(rule, then=then))
        outcomes = (
            (assess(example.hit, book).findings[0], before)
            for example, before in examples_of()[rule.id]
        )
        if all(what_counts(after) == what_counts(before) for after, before in outcomes):
            unnoticed.append(name)
    assert unnoticed == []


@pytest.mark.parametrize(
    ("rule", "check"),
    [(rule, check) for rule in RULES for check in rule.checks if check.question.has_limit],
    ids=lambda one: one.id if isinstance(one, Rule) else one.key,
)
@pytest.mark.parametrize("change", [0.75, 1.25], ids=["lower", "higher"])
def test_an_example_notices_when_a_limit_is_moved(rule: Rule, check: Check, change: float) -> None:
    if rule.id not in {example.rule for example in _examples_at_the_limit(check)}:
        # The voltage at which HV begins is shown by HVF-002 and HVF-022; here it must be the same.
        assert (check.key, check.limit) == ("voltage_v_over", 60.0)
        return
    moved = replace(check, limit=check.limit * change)
    checks = tuple(moved if one is check else one for one in rule.checks)
    book = book_with(replace(rule, checks=checks))
    example = next(one for one in the_book().examples if one.rule == rule.id)
    hit = rule.id in fired_rules(assess(example.hit, book))
    miss = rule.id in fired_rules(assess(example.miss, book))
    assert not (hit and not miss)


def _examples_at_the_limit(check: Check) -> list[Example]:
    """Return the examples whose hit and miss differ in the fact that the check limits."""
    fact = {
        "depth_mm_min": "depth_mm",
        "length_mm_min": "length_mm",
        "hv_within_mm": "distance_to_hv_mm",
    }.get(check.key)
    if fact is None:
        return [
            one
            for one in the_book().examples
            if one.hit.vehicle.system_voltage_v != one.miss.vehicle.system_voltage_v
        ]
    return [
        one
        for one in the_book().examples
        if one.hit.findings
        and getattr(one.hit.findings[0], fact) != getattr(one.miss.findings[0], fact)
    ]


@pytest.mark.parametrize(
    "rule", [rule for rule in RULES if rule.beside is None], ids=lambda rule: rule.id
)
def test_it_matters_that_a_row_names_each_part_and_damage_that_it_names(rule: Rule) -> None:
    unnoticed = []
    for field in ("components", "groups", "roles", "damages", "families"):
        for name in sorted(getattr(rule.selector, field) or ()):
            selector = replace(rule.selector, **{field: getattr(rule.selector, field) - {name}})
            lost = replace(rule, selector=selector)
            if (rule.id, name) not in COVERED_BY_THE_MAP and not _is_noticed(rule, lost):
                unnoticed.append(name)
    assert unnoticed == []


def _is_noticed(rule: Rule, narrower: Rule) -> bool:
    book = the_book()
    for pair in book.pairs:
        words = book.components[pair[0]], book.damage_types[pair[1]]
        lost = _takes(rule, *words) and not _takes(narrower, *words)
        if lost and any(
            _asked(pair, setting, None) != _asked(pair, setting, rule) for setting in _settings()
        ):
            return True
    return False


def _takes(rule: Rule, component: Component, damage: DamageType) -> bool:
    return rule.selector.takes_part(component) and rule.selector.takes_damage(damage)


@cache
def _settings() -> tuple[Setting, ...]:
    unknown, mild = plain_settings(the_book())
    return (
        unknown,
        mild,
        {**mild, "hv_conductor_visible": True},
        {**mild, "zone": "front_centre"},
        {**unknown, "system_voltage_v": 48.0, "powertrain": Powertrain.MILD_HYBRID_48V},
        {**mild, "system_voltage_v": 48.0},
    )


def _asked(pair: Pair, setting: Setting, without: Rule | None) -> tuple[object, ...]:
    book = the_book()
    seen = seen_in(book, pair, setting)
    tally = Tally()
    for candidate in book.pairs[pair].alone:
        rule = candidate.rule
        if rule is not without and unmeasured_if_met(rule.checks, seen) is not None:
            tally.add(rule.then)
    return (
        tally.consequence,
        tally.likelihood,
        tally.hv_flag,
        tally.disposition,
        tally.signal_word,
        frozenset(tally.actions),
        frozenset(tally.tests),
    )
