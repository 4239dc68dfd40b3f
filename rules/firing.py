"""Which rules fire, on which facts: one finding alone, and one finding because of another."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rules.condition import Check, unmeasured_if_met
from rules.in_line import in_line
from rules.rule import Beside, Fired, Nearness, PairRules, Rule
from rules.seen import Seen, Vocabulary
from rules.terms import ComponentId, DamageId, RuleId, Side, ZoneId

_Place = tuple[ZoneId | None, Side | None]
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


def fired_together(seen: Sequence[Seen], pairs: Pairs, words: Vocabulary) -> list[list[Fired]]:
    """Return, for each finding, the combination rules that fire on it because of another one."""
    partners = _partners(seen, pairs, words)
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


_NOBODY = _Group((), "")


class _Partners:
    """The findings because of which a rule may fire, grouped once by the place asked from."""

    def __init__(self, beside: Beside, words: Vocabulary) -> None:
        self.where = beside.where
        self._at_least = beside.at_least
        self._words = words
        self._found: list[Seen] = []
        self._members: set[int] = set()
        self._near: dict[_Place, list[Seen]] = {}
        self._groups: dict[_Place, _Group] = {}

    def add(self, other: Seen) -> None:
        self._found.append(other)
        self._members.add(id(other))

    def near(self, one: Seen) -> _Group:
        """Return the partners near ``one``, never itself; none where they are too few."""
        is_member = id(one) in self._members
        if len(self._found) - is_member < self._at_least:
            return _NOBODY
        place = self._place(one)
        if is_member:
            return self._grouped(
                [other for other in self._all_near(one, place) if other is not one]
            )
        if place not in self._groups:
            self._groups[place] = self._grouped(self._all_near(one, place))
        return self._groups[place]

    def _place(self, one: Seen) -> _Place:
        along_line = self.where is Nearness.ALONG_LINE
        return None if one.zone is None else one.zone.id, one.facts.side if along_line else None

    def _grouped(self, near: Sequence[Seen]) -> _Group:
        return _group(near) if len(near) >= self._at_least else _NOBODY

    def _all_near(self, one: Seen, place: _Place) -> list[Seen]:
        if place not in self._near:
            self._near[place] = (
                in_line(one, self._found, self._words)
                if self.where is Nearness.ALONG_LINE
                else [other for other in self._found if _is_near(one, other, self.where)]
            )
        return self._near[place]


def _partners(seen: Sequence[Seen], pairs: Pairs, words: Vocabulary) -> dict[RuleId, _Partners]:
    partners: dict[RuleId, _Partners] = {}
    for other in seen:
        for rule in pairs[other.component.id, other.damage.id].upon_another:
            beside = rule.beside
            if beside is not None and unmeasured_if_met(beside.checks, other) is not None:
                partners.setdefault(rule.id, _Partners(beside, words)).add(other)
    return partners


def _fired_because_of(rule: Rule, partners: _Partners, one: Seen) -> Fired | None:
    unmeasured = unmeasured_if_met(rule.checks, one)
    if unmeasured is None:
        return None
    group = partners.near(one)
    if not group.ids:
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
