"""Mutants of the rule book: one thing in one row milder, wider, narrower, flipped or gone."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from typing import NamedTuple, TypeVar

from rules import Consequence, Disposition, HvFlag, Likelihood, Rulebook, SignalWord
from rules.case_rule import CaseRule, LevelT
from rules.condition import MET, Selector
from rules.rule import Beside, Nearness, Outcome, Rule
from rules.terms import RuleId

_S = TypeVar("_S", bound=str)


class RuleMutant(NamedTuple):
    """What was done to a rule, and the rule that came of it; None is the row taken out."""

    name: str
    rule: Rule | None


_NARROWER = {
    Nearness.ANYWHERE: Nearness.SAME_OR_ADJACENT_ZONE,
    Nearness.SAME_OR_ADJACENT_ZONE: Nearness.SAME_ZONE,
    Nearness.ALONG_LINE: Nearness.SAME_ZONE,
    Nearness.SAME_ZONE: Nearness.ALONG_LINE,
}
_WIDER = {
    Nearness.SAME_ZONE: Nearness.SAME_OR_ADJACENT_ZONE,
    Nearness.SAME_OR_ADJACENT_ZONE: Nearness.ANYWHERE,
    Nearness.ALONG_LINE: Nearness.ANYWHERE,
}


def mutants_of(rule: Rule) -> Iterator[RuleMutant]:
    """Yield the row taken out, and the row with each single field changed."""
    yield RuleMutant("row taken out", None)
    for name, then in weakenings(rule.then):
        yield RuleMutant(f"then: {name} milder", replace(rule, then=then))
    for name, selector in selectors(rule.selector):
        yield RuleMutant(f"when: {name}", replace(rule, selector=selector))
    yield from _checks(rule)
    if rule.beside is not None:
        for name, beside in _besides(rule.beside):
            yield RuleMutant(f"beside: {name}", replace(rule, beside=beside))


def weakenings(then: Outcome) -> Iterator[tuple[str, Outcome]]:
    """Yield the outcome with one thing a step milder, or one action or test fewer."""
    if then.consequence is not None:
        milder = Consequence(then.consequence + 1) if then.consequence < 4 else None
        yield "consequence", replace(then, consequence=milder)
    if then.likelihood is not None:
        levels = list(Likelihood)
        milder_level = levels[levels.index(then.likelihood) + 1]
        yield "likelihood", replace(then, likelihood=milder_level)
    if then.hv_flag is not None:
        yield "HV flag", replace(then, hv_flag=HvFlag(then.hv_flag - 1))
    if then.disposition is not None:
        less = Disposition(then.disposition - 1) if then.disposition else None
        yield "repair", replace(then, disposition=less)
    if then.signal_word is not None:
        yield "signal word", replace(then, signal_word=SignalWord(then.signal_word - 1))
    for action in sorted(then.actions):
        yield action, replace(then, actions=then.actions - {action})
    for test in sorted(then.tests):
        yield test, replace(then, tests=then.tests - {test})


def selectors(selector: Selector) -> Iterator[tuple[str, Selector]]:
    """Yield the selector without one name, without one question, and with one flag turned."""
    for field in fields(selector):
        held = getattr(selector, field.name)
        if held is None:
            continue
        yield f"{field.name} not asked", replace(selector, **{field.name: None})
        if isinstance(held, bool):
            yield f"{field.name} turned", replace(selector, **{field.name: not held})  # type: ignore[arg-type]  # by name
        elif len(held) > 1:
            for name in sorted(held):
                yield f"without {name}", replace(selector, **{field.name: held - {name}})


def _checks(rule: Rule) -> Iterator[RuleMutant]:
    for check in rule.checks:
        others = tuple(one for one in rule.checks if one is not check)
        yield RuleMutant(f"{check.key} not asked", replace(rule, checks=others))
        if check.question.may_be_unknown:
            turned = MET if check.unknown != MET else RuleId("HVF-001")
            flipped = replace(check, unknown=turned)
            yield RuleMutant(
                f"{check.key} unknown turned", replace(rule, checks=(*others, flipped))
            )
        if check.question.has_limit:
            for factor in (0.75, 1.25):
                moved = replace(check, limit=check.limit * factor)
                name = f"{check.key} {moved.limit:g} instead of {check.limit:g}"
                yield RuleMutant(name, replace(rule, checks=(*others, moved)))


def _besides(beside: Beside) -> Iterator[tuple[str, Beside]]:
    for name, selector in selectors(beside.selector):
        yield name, replace(beside, selector=selector)
    for check in beside.checks:
        others = tuple(one for one in beside.checks if one is not check)
        yield f"{check.key} not asked", replace(beside, checks=others)
        turned = replace(check, unknown="HVF-001")
        yield f"{check.key} unknown turned", replace(beside, checks=(*others, turned))
    if beside.where in _NARROWER:
        yield "nearer only", replace(beside, where=_NARROWER[beside.where])
    if beside.where in _WIDER:
        yield "farther too", replace(beside, where=_WIDER[beside.where])
    yield "one more needed", replace(beside, at_least=beside.at_least + 1)
    if beside.at_least > 1:
        yield "one fewer needed", replace(beside, at_least=beside.at_least - 1)


def mutants_of_words(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    """Yield the book with one field of one part, damage, zone, text or fact changed."""
    yield from _parts(book)
    yield from _damages(book)
    yield from _zones(book)
    yield from _texts(book)
    yield from _matrix(book)


def _parts(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    for part in book.components.values():
        other_group = "trim" if part.group != "trim" else "lv"
        changed = [("is_hv turned", replace(part, is_hv=not part.is_hv))]
        changed += [
            ("hv_runs_behind turned", replace(part, hv_runs_behind=not part.hv_runs_behind))
        ]
        changed += [
            (f"synonym {word} gone", replace(part, synonyms=_without(part.synonyms, word)))
            for word in part.synonyms
        ]
        changed += [
            (f"zone {zone} gone", replace(part, zones=_without(part.zones, zone)))
            for zone in part.zones
        ]
        changed += [
            (f"{other} not behind", replace(part, behind=_without(part.behind, other)))
            for other in part.behind
        ]
        changed += [("of another group", replace(part, group=other_group))]
        for name, one in changed:
            yield f"{part.id}: {name}", replace(book, components={**book.components, part.id: one})


def _without(held: tuple[_S, ...], gone: str) -> tuple[_S, ...]:
    return tuple(one for one in held if one != gone)


def _damages(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    for damage in book.damage_types.values():
        family = "surface" if damage.family != "surface" else "worn"
        changed = [("of another family", replace(damage, family=family))]
        changed += [
            (f"synonym {word} gone", replace(damage, synonyms=_without(damage.synonyms, word)))
            for word in damage.synonyms
        ]
        changed += [
            (f"{measure} not asked", replace(damage, measures=_without(damage.measures, measure)))
            for measure in damage.measures
        ]
        for name, one in changed:
            yield (
                f"{damage.id}: {name}",
                replace(book, damage_types={**book.damage_types, damage.id: one}),
            )


def _zones(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    for zone in book.zones.values():
        changed = [("hv_runs_here turned", replace(zone, hv_runs_here=not zone.hv_runs_here))]
        bolted = not zone.battery_bolted_here
        changed += [("battery_bolted_here turned", replace(zone, battery_bolted_here=bolted))]
        changed += [
            (f"not beside {other}", replace(zone, adjacent=_without(zone.adjacent, other)))
            for other in zone.adjacent
        ]
        for name, one in changed:
            zones = {**book.zones, zone.id: one}
            words = replace(book.vocabulary, zones=zones)
            yield f"{zone.id}: {name}", replace(book, zones=zones, vocabulary=words)
    for line in book.vocabulary.travel_lines:
        for zone_id in line.zones:
            shorter = replace(line, zones=_without(line.zones, zone_id))
            lines = tuple(shorter if one is line else one for one in book.vocabulary.travel_lines)
            words = replace(book.vocabulary, travel_lines=lines)
            yield f"line {line.id}: without {zone_id}", replace(book, vocabulary=words)


def _texts(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    for action in book.actions.values():
        required = None if action.required_from else HvFlag.AT_HV
        for name, one in (
            ("order", replace(action, order=action.order + 1)),
            ("safing", replace(action, is_safing=not action.is_safing)),
            ("required", replace(action, required_from=required)),
            ("text", replace(action, text="Work on.")),
        ):
            yield f"{action.id}: {name}", replace(book, actions={**book.actions, action.id: one})
    for test in book.open_tests.values():
        other = replace(test, by="anybody")
        yield f"{test.id}: by", replace(book, open_tests={**book.open_tests, test.id: other})
    for fact in book.facts.values():
        if fact.value is not None:
            moved = replace(fact, value=fact.value * 2)
            yield f"{fact.id}: value", replace(book, facts={**book.facts, fact.id: moved})
    for flag, ids in book.safing_actions.items():
        for gone in ids:
            fewer = {**book.safing_actions, flag: ids - {gone}}
            yield f"safing {flag.name}: without {gone}", replace(book, safing_actions=fewer)


def _matrix(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    for cell, risk in book.risk_matrix.items():
        if risk:
            milder = {**book.risk_matrix, cell: type(risk)(risk - 1)}
            yield f"risk {cell}: milder", replace(book, risk_matrix=milder)
    for consequence, word in book.least_signal_word.items():
        if word:
            less = {**book.least_signal_word, consequence: SignalWord(word - 1)}
            yield f"least word {consequence.name}", replace(book, least_signal_word=less)
    yield "word at HV", replace(book, hv_signal_word=SignalWord.CAUTION)


def mutants_of_the_car(book: Rulebook) -> Iterator[tuple[str, Rulebook]]:
    """Yield the book with one row about signs, quarantine or transport milder or gone."""
    for stop in book.stop_rules.values():
        for name, then in weakenings(stop.then):
            rows = {**book.stop_rules, stop.id: replace(stop, then=then)}
            yield f"{stop.id}: {name} milder", replace(book, stop_rules=rows)
        gone = {name: row for name, row in book.stop_rules.items() if name != stop.id}
        yield f"{stop.id}: row taken out", replace(book, stop_rules=gone)
    for name, quarantine in _case_rules(book.quarantine_rules):
        yield name, replace(book, quarantine_rules=quarantine)
    for name, transport in _case_rules(book.transport_rules):
        yield name, replace(book, transport_rules=transport)


def _case_rules(
    rows: Mapping[RuleId, CaseRule[LevelT]],
) -> Iterator[tuple[str, Mapping[RuleId, CaseRule[LevelT]]]]:
    for row in rows.values():
        yield f"{row.id}: row taken out", {k: one for k, one in rows.items() if k != row.id}
        for name, changed in _case_rule(row):
            yield f"{row.id}: {name}", {**rows, row.id: changed}


def _case_rule(row: CaseRule[LevelT]) -> Iterator[tuple[str, CaseRule[LevelT]]]:
    yield "milder", replace(row, then=type(row.then)(row.then - 1))
    for sign in sorted(row.signs):
        yield f"without {sign}", replace(row, signs=row.signs - {sign})
    if row.finding is not None:
        for name, selector in selectors(row.finding):
            yield name, replace(row, finding=selector)
