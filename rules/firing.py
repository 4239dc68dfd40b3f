"""Which rules fire, on which facts: one finding alone, and one finding because of another."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rules.condition import Check, unmeasured_if_met
from rules.rule import Fired, Nearness, PairRules, Rule
from rules.seen import Seen
from rules.terms import ComponentId, DamageId, RuleId, ZoneId

Pairs = Mapping[tuple[ComponentId, DamageId], PairRules]


def fired_alone(seen: Seen, pairs: Pairs) -> list[Fired]:
    """Return every rule of one finding that fires, by rule id."""
    fired: list[Fired] = []
    for candidate in pairs[seen.component.id, seen.damage.id].alone:
        if candidate.ready is not None:
            fired.append(candidate.ready)
            continue
        rule = candidate.rule
        unmeasured = unmeasured_if_met(rule.checks, seen)
        if unmeasured is not None:
            facts = candidate.pair_facts + _in_words(rule.checks, seen)
            fired.append(Fired(rule.then, rule.reason(facts, unmeasured)))
    return fired


def fired_together(seen: Sequence[Seen], pairs: Pairs) -> list[list[Fired]]:
    """Return, for each finding, the combination rules that fire on it because of another one."""
    partners = _partners(seen, pairs)
    return [
        [
            fired
            for rule in pairs[one.component.id, one.damage.id].because_of_another
            if rule.id in partners
            and (fired := _fired_because_of(rule, partners[rule.id], one)) is not None
        ]
        for one in seen
    ]


@dataclass(frozen=True, slots=True)
class _Group:
    """Findings that count as near one place: their ids and, in words, what they are."""

    ids: tuple[str, ...]
    words: str


class _Partners:
    """The findings because of which a rule may fire, grouped once by the place asked from."""

    def __init__(self, where: Nearness) -> None:
        self.where = where
        self._found: list[Seen] = []
        self._members: set[int] = set()
        self._groups: dict[ZoneId | None, _Group] = {}

    def add(self, other: Seen) -> None:
        self._found.append(other)
        self._members.add(id(other))

    def near(self, one: Seen) -> _Group:
        """Return the partners near ``one``, never itself."""
        if id(one) in self._members:
            return _group([other for other in self._all_near(one) if other is not one])
        place = None if one.zone is None else one.zone.id
        if place not in self._groups:
            self._groups[place] = _group(self._all_near(one))
        return self._groups[place]

    def _all_near(self, one: Seen) -> list[Seen]:
        return [other for other in self._found if _is_near(one, other, self.where)]


def _partners(seen: Sequence[Seen], pairs: Pairs) -> dict[RuleId, _Partners]:
    partners: dict[RuleId, _Partners] = {}
    for other in seen:
        for rule in pairs[other.component.id, other.damage.id].upon_another:
            beside = rule.beside
            if beside is not None and unmeasured_if_met(beside.checks, other) is not None:
                partners.setdefault(rule.id, _Partners(beside.where)).add(other)
    return partners


def _fired_because_of(rule: Rule, partners: _Partners, one: Seen) -> Fired | None:
    unmeasured = unmeasured_if_met(rule.checks, one)
    group = partners.near(one)
    if unmeasured is None or not group.ids:
        return None
    if partners.where is not Nearness.ANYWHERE and one.zone is None:
        unmeasured = (*unmeasured, "zone")
    facts = (*_in_words(rule.checks, one), group.words)
    return Fired(rule.then, rule.reason(facts, unmeasured, group.ids))


def _is_near(one: Seen, other: Seen, where: Nearness) -> bool:
    if where is Nearness.ANYWHERE or one.zone is None or other.zone is None:
        return True
    if one.zone.id == other.zone.id:
        return True
    return where is Nearness.SAME_OR_ADJACENT_ZONE and other.zone.id in one.zone.adjacent


def _group(near: Sequence[Seen]) -> _Group:
    labels = sorted({f"{other.component.label} ({other.damage.label.lower()})" for other in near})
    return _Group(
        tuple(sorted(other.facts.finding_id for other in near)),
        "together with: " + ", ".join(labels),
    )


def _in_words(checks: tuple[Check, ...], seen: Seen) -> tuple[str, ...]:
    return tuple([check.question.words(seen, check.limit) for check in checks])
