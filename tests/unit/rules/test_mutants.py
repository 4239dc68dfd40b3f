"""Every field of every row, changed one at a time: each change is noticed, and by what is counted.

A mutant of a rule is noticed by the examples that cover it, or by the full product (which the
committed digests pin). A mutant of a word, a sign or a text is noticed by the same digests or by
the row's own example. Rows of evidence have their mutants in ``test_evidence_table``.
"""

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache

from rules import CaseAssessment, CaseFacts, Rulebook, assess
from rules.example import Example
from rules.proofs.product import Product
from rules.proofs.verdicts import car_lines, together_lines, word_lines
from rules.proofs.wiring import case_outcome_of, fired_rules
from rules.reading.pairs import pair_rules
from rules.rule import Rule
from tests.unit.rules.book import the_book
from tests.unit.rules.mutants import (
    RuleMutant,
    mutants_of,
    mutants_of_the_car,
    mutants_of_words,
)

# Changed and not noticed, each with its reason. Nothing here may grow without a reason.
EXCUSED = {
    "CON-050: when: without fluid": "every zone of the map borders on HV, so CON-053 says more",
    "HVF-014: near_hv_zone unknown turned": "where nobody gave the zone, HVF-013 says the same",
}
# A row that asks less and so fires more often can only raise; where it raises nothing, others say
# as much already. Such a mutant is no weaker book.
WIDER = "not asked"


@cache
def _product() -> Product:
    return Product(the_book())


def _print(title: str, killed: Counter[str], survivors: Sequence[str]) -> None:
    total = sum(killed.values()) + len(survivors)
    by = ", ".join(f"{count} by {what}" for what, count in killed.most_common())
    sys.stdout.write(f"\n{title}: {total} mutants, {by}; {len(survivors)} survive\n")


def test_no_change_of_a_rule_goes_unnoticed() -> None:
    killed, survivors, wider = Counter[str](), list[str](), 0
    for rule in the_book().rules.values():
        for mutant in mutants_of(rule):
            killer = _killer(rule, mutant)
            if killer is None and mutant.name.endswith(WIDER):
                wider += 1
            elif killer is None:
                survivors.append(f"{rule.id}: {mutant.name}")
            else:
                killed[killer] += 1
    _print(f"Rules of findings ({wider} wider ones change no answer)", killed, survivors)
    assert sorted(survivors) == sorted(EXCUSED)
    assert sum(killed.values()) > 1_500


def _killer(rule: Rule, mutant: RuleMutant) -> str | None:
    """Return what notices the mutant: its own example, another example, or the full product."""
    own = [example for example in the_book().examples if example.rule == rule.id]
    if _noticed(own, rule, mutant):
        return "its own example"
    if rule.beside is None and _product_notices(rule, mutant.rule):
        return "the full product"
    if rule.beside is not None and _digests_notice(rule, mutant.rule):
        return "the reviewed digests"
    return "another example" if _noticed(_others_of(rule), rule, mutant) else None


def _digests_notice(rule: Rule, mutant: Rule | None) -> bool:
    rules = {name: one for name, one in the_book().rules.items() if name != rule.id}
    if mutant is not None:
        rules[rule.id] = mutant
    return not set(together_lines(replace(the_book(), rules=rules))) <= _reviewed_together()


@cache
def _reviewed_together() -> frozenset[str]:
    return frozenset(together_lines(the_book()))


@cache
def _cases_of(rule: Rule) -> tuple[Example, ...]:
    return tuple(
        example
        for example in the_book().examples
        if rule.id in fired_rules(assess(example.hit, the_book()))
    )


def _others_of(rule: Rule) -> Iterator[Example]:
    return (example for example in _cases_of(rule) if example.rule != rule.id)


def _noticed(examples: Iterable[Example], rule: Rule, mutant: RuleMutant) -> bool:
    for example in examples:
        for case in (example.hit, example.miss):
            book = _book_with(rule, mutant.rule, case)
            if _answers(assess(case, book)) != _answers(assess(case, the_book())):
                return True
            if example.rule == rule.id and _fires(case, book, rule) is not (case is example.hit):
                return True
    return False


def _fires(case: CaseFacts, book: Rulebook, rule: Rule) -> bool:
    return rule.id in fired_rules(assess(case, book))


def _book_with(rule: Rule, mutant: Rule | None, case: CaseFacts) -> Rulebook:
    book = the_book()
    rules = {name: one for name, one in book.rules.items() if name != rule.id}
    if mutant is not None:
        rules[rule.id] = mutant
    parts = {finding.component for finding in case.findings}
    damages = {finding.damage for finding in case.findings}
    pairs = pair_rules(
        {name: part for name, part in book.components.items() if name in parts},
        {name: damage for name, damage in book.damage_types.items() if name in damages},
        rules,
    )
    return replace(book, rules=rules, pairs=pairs)


def _answers(case: CaseAssessment) -> tuple[object, ...]:
    return tuple(
        (
            one.consequence,
            one.likelihood,
            one.hv_flag,
            one.disposition,
            one.signal_word,
            one.actions,
            one.open_tests,
        )
        for one in case.findings
    )


def _product_notices(rule: Rule, mutant: Rule | None) -> bool:
    book, product = the_book(), _product()
    seen: set[tuple[str, ...]] = set()
    for (part, damage), of_pair in book.pairs.items():
        rules = [candidate.rule for candidate in of_pair.alone]
        before = rule in rules
        words = book.components[part], book.damage_types[damage]
        after = (
            mutant is not None
            and mutant.selector.takes_part(words[0])
            and mutant.selector.takes_damage(words[1])
        )
        if not (before or after):
            continue
        key = (*[one.id for one in rules], str(after))
        if key in seen:
            continue
        seen.add(key)
        changed = [one for one in rules if one is not rule]
        if after and mutant is not None:
            changed.append(mutant)
        if product.answers(changed) != product.of_pair((part, damage)):
            return True
    return False


def test_no_change_of_a_word_or_text_goes_unnoticed() -> None:
    reviewed = set(word_lines(the_book()))
    killed, survivors = Counter[str](), list[str]()
    for name, book in mutants_of_words(the_book()):
        if set(word_lines(book)) <= reviewed:
            survivors.append(name)
        else:
            killed["the reviewed digests"] += 1
    _print("Words, zones, texts and the matrix", killed, survivors)
    assert survivors == []
    assert sum(killed.values()) > 1_500


def test_no_change_of_a_row_about_the_car_goes_unnoticed() -> None:
    reviewed = set(car_lines(the_book()))
    of_car = [one for one in the_book().examples if one.expect_case is not None]
    killed, survivors = Counter[str](), list[str]()
    for name, book in mutants_of_the_car(the_book()):
        own = [example for example in of_car if name.startswith(example.rule)]
        if any(_case_differs(example, book) for example in own):
            killed["its own example"] += 1
        elif not set(car_lines(book)) <= reviewed:
            killed["the reviewed digests"] += 1
        else:
            survivors.append(name)
    _print("Signs, quarantine and transport", killed, survivors)
    assert survivors == []


def _case_differs(example: Example, book: Rulebook) -> bool:
    for case in (example.hit, example.miss):
        found, before = assess(case, book), assess(case, the_book())
        if case_outcome_of(found) != case_outcome_of(before):
            return True
        if (found.actions, found.open_tests) != (before.actions, before.open_tests):
            return True
    return False
