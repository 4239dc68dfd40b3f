"""Which rules speak of which pair of part and damage: worked out once, when the book is loaded."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from rules.model import Component, DamageType
from rules.rule import Candidate, Fired, PairRules, Rule
from rules.terms import ComponentId, DamageId, RuleId


def pair_rules(
    components: Mapping[ComponentId, Component],
    damage_types: Mapping[DamageId, DamageType],
    rules: Mapping[RuleId, Rule],
) -> Mapping[tuple[ComponentId, DamageId], PairRules]:
    """Return the rules of every pair, each by rule id. A part of the words gives its own pairs."""
    ordered = [rules[rule_id] for rule_id in sorted(rules)]
    pairs: dict[tuple[ComponentId, DamageId], PairRules] = {}
    for component in components.values():
        of_part = [rule for rule in ordered if rule.selector.takes_part(component)]
        behind = tuple([components[one].label for one in component.behind if one in components])
        upon = [rule for rule in ordered if rule.beside and _may_be_part(rule, component)]
        for damage in damage_types.values():
            words = _Words(component, behind, damage)
            pairs[component.id, damage.id] = _of_pair(words, of_part, upon)
    return MappingProxyType(pairs)


def _may_be_part(rule: Rule, component: Component) -> bool:
    return rule.beside is not None and rule.beside.selector.may_be_part(component)


@dataclass(frozen=True, slots=True)
class _Words:
    """A pair with the labels of the HV parts behind the part."""

    component: Component
    behind: tuple[str, ...]
    damage: DamageType

    def facts(self, rule: Rule) -> tuple[str, ...]:
        """Return what of the pair the rule asks for, in words."""
        facts: list[str] = []
        if rule.selector.asks_part:
            facts.append(f"part: {self.component.label}")
        if rule.selector.hv_runs_behind and self.behind:
            facts.append(f"behind or beside it: {', '.join(self.behind)}")
        if rule.selector.asks_damage:
            facts.append(f"damage: {self.damage.label}")
        return tuple(facts)


def _of_pair(words: _Words, of_part: Sequence[Rule], upon: Sequence[Rule]) -> PairRules:
    damage = words.damage
    fitting = [rule for rule in of_part if rule.selector.takes_damage(damage)]
    return PairRules(
        alone=tuple(_candidate(rule, words) for rule in fitting if rule.beside is None),
        because_of_another=tuple(rule for rule in fitting if rule.beside is not None),
        upon_another=tuple(
            rule
            for rule in upon
            if rule.beside is not None and rule.beside.selector.may_be_damage(damage)
        ),
    )


def _candidate(rule: Rule, words: _Words) -> Candidate:
    facts = words.facts(rule)
    ready = None if rule.checks else Fired(rule.then, rule.reason(facts))
    return Candidate(rule=rule, pair_facts=facts, ready=ready)
