"""Which rules speak of which pair of part and damage: worked out once, when the book is loaded."""

from collections.abc import Mapping
from types import MappingProxyType

from rules.model import Component, ComponentId, DamageId, DamageType, RuleId
from rules.rule import Candidate, PairRules, Rule


def pair_rules(
    components: Mapping[ComponentId, Component],
    damage_types: Mapping[DamageId, DamageType],
    rules: Mapping[RuleId, Rule],
) -> Mapping[tuple[ComponentId, DamageId], PairRules]:
    """Return the rules of every pair, each by rule id."""
    ordered = [rules[rule_id] for rule_id in sorted(rules)]
    return MappingProxyType(
        {
            (component.id, damage.id): _of_pair(component, damage, ordered)
            for component in components.values()
            for damage in damage_types.values()
        }
    )


def _of_pair(component: Component, damage: DamageType, rules: list[Rule]) -> PairRules:
    fitting = [rule for rule in rules if rule.selector.matches(component, damage)]
    return PairRules(
        alone=tuple(_candidate(rule, component, damage) for rule in fitting if rule.beside is None),
        because_of_another=tuple(rule for rule in fitting if rule.beside is not None),
        upon_another=tuple(
            rule
            for rule in rules
            if rule.beside is not None and rule.beside.selector.may_match(component, damage)
        ),
    )


def _candidate(rule: Rule, component: Component, damage: DamageType) -> Candidate:
    part = (f"part: {component.label}",) if rule.selector.asks_part else ()
    harm = (f"damage: {damage.label}",) if rule.selector.asks_damage else ()
    facts = part + harm
    return Candidate(
        rule=rule, pair_facts=facts, reason=None if rule.checks else rule.reason(facts)
    )
