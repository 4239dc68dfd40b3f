"""Which rules speak of which pair of part and damage: worked out once, when the book is loaded."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from rules.model import Component, DamageType
from rules.rule import Candidate, Fired, PairRules, Rule
from rules.terms import ComponentId, DamageId, RuleId


def pair_rules(
    components: Mapping[ComponentId, Component],
    damage_types: Mapping[DamageId, DamageType],
    rules: Mapping[RuleId, Rule],
) -> Mapping[tuple[ComponentId, DamageId], PairRules]:
    """Return the rules of every pair, each by rule id."""
    ordered = [rules[rule_id] for rule_id in sorted(rules)]
    pairs: dict[tuple[ComponentId, DamageId], PairRules] = {}
    for component in components.values():
        of_part = [rule for rule in ordered if rule.selector.takes_part(component)]
        upon = [rule for rule in ordered if rule.beside and _may_be_part(rule, component)]
        for damage in damage_types.values():
            pairs[component.id, damage.id] = _of_pair(component, damage, of_part, upon)
    return MappingProxyType(pairs)


def _may_be_part(rule: Rule, component: Component) -> bool:
    return rule.beside is not None and rule.beside.selector.may_be_part(component)


def _of_pair(
    component: Component, damage: DamageType, of_part: Sequence[Rule], upon: Sequence[Rule]
) -> PairRules:
    fitting = [rule for rule in of_part if rule.selector.takes_damage(damage)]
    return PairRules(
        alone=tuple(_candidate(rule, component, damage) for rule in fitting if rule.beside is None),
        because_of_another=tuple(rule for rule in fitting if rule.beside is not None),
        upon_another=tuple(
            rule
            for rule in upon
            if rule.beside is not None and rule.beside.selector.may_be_damage(damage)
        ),
    )


def _candidate(rule: Rule, component: Component, damage: DamageType) -> Candidate:
    part = (f"part: {component.label}",) if rule.selector.asks_part else ()
    harm = (f"damage: {damage.label}",) if rule.selector.asks_damage else ()
    facts = part + harm
    ready = None if rule.checks else Fired(rule.then, rule.reason(facts))
    return Candidate(rule=rule, pair_facts=facts, ready=ready)
