"""Which rules fire, on which facts: one finding alone, and one finding because of another."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rules.condition import Check, unmeasured_if_met
from rules.model import ComponentId, DamageId, Reason
from rules.rule import Beside, Candidate, Nearness, Rule
from rules.seen import Seen

Candidates = Mapping[tuple[ComponentId, DamageId], tuple[Candidate, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fired:
    """A rule that fired on a finding, with the reason in words."""

    rule: Rule
    reason: Reason


def fired_alone(seen: Seen, candidates: Candidates) -> list[Fired]:
    """Return every rule of one finding that fires."""
    fired: list[Fired] = []
    for candidate in candidates[seen.component.id, seen.damage.id]:
        rule = candidate.rule
        unmeasured = unmeasured_if_met(rule.checks, seen)
        if unmeasured is not None:
            facts = candidate.pair_facts + _in_words(rule.checks, seen)
            fired.append(Fired(rule=rule, reason=_reason(rule, unmeasured, facts)))
    return fired


def fired_together(seen: Sequence[Seen], combinations: Sequence[Rule]) -> Sequence[Sequence[Fired]]:
    """Return, for each finding, the combination rules that fire on it because of another one."""
    fired: list[list[Fired]] = [[] for _ in seen]
    for rule in combinations:
        beside = rule.beside
        if beside is None:
            continue
        others = [other for other in seen if _may_be(beside, other)]
        if not others:
            continue
        for one, mine in zip(seen, fired, strict=True):
            partners = [other for other in others if other is not one]
            result = _with_partners(rule, beside, one, partners)
            if result is not None:
                mine.append(result)
    return fired


def _may_be(beside: Beside, other: Seen) -> bool:
    fits = beside.selector.may_match(other.component, other.damage)
    return fits and unmeasured_if_met(beside.checks, other) is not None


def _with_partners(rule: Rule, beside: Beside, one: Seen, others: Sequence[Seen]) -> Fired | None:
    if not rule.selector.matches(one.component, one.damage):
        return None
    unmeasured = unmeasured_if_met(rule.checks, one)
    near = [other for other in others if _is_near(one, other, beside.where)]
    if unmeasured is None or not near:
        return None
    if beside.where is not Nearness.ANYWHERE and one.zone is None:
        unmeasured += ("zone",)
    facts = (*_in_words(rule.checks, one), _neighbours_in_words(near))
    ids = tuple(sorted(other.facts.finding_id for other in near))
    return Fired(rule=rule, reason=_reason(rule, unmeasured, facts, ids))


def _is_near(one: Seen, other: Seen, where: Nearness) -> bool:
    if where is Nearness.ANYWHERE or one.zone is None or other.zone is None:
        return True
    if one.zone.id == other.zone.id:
        return True
    return where is Nearness.SAME_OR_ADJACENT_ZONE and other.zone.id in one.zone.adjacent


def _neighbours_in_words(near: Sequence[Seen]) -> str:
    labels = sorted({f"{other.component.label} ({other.damage.label.lower()})" for other in near})
    return "together with: " + ", ".join(labels)


def _in_words(checks: tuple[Check, ...], seen: Seen) -> tuple[str, ...]:
    return tuple(check.question.words(seen, check.limit) for check in checks)


def _reason(
    rule: Rule, unmeasured: tuple[str, ...], facts: tuple[str, ...], ids: tuple[str, ...] = ()
) -> Reason:
    return Reason(
        rule_id=rule.id,
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        unmeasured=tuple(dict.fromkeys(unmeasured)),
        facts=facts,
        with_findings=ids,
    )
