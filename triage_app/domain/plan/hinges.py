"""Finds the tests on which the decision hinges.

The decision is a function of the outcomes. A set of tests settles it when, whatever comes out of
them, the decision is the same over all outcomes of the rest. The smallest such set is unique: it is
made of exactly the tests that can change the decision by themselves, with everything else kept.
Each of those must be in every such set; and with all of them fixed, the others may be changed one
after another without a change of the decision.
"""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

from triage_app.domain.plan.decision import Decision, Line, NoLine, decide
from triage_app.domain.plan.space import (
    BATTERY,
    MOST_OUTCOMES,
    UNPRICED,
    Bounds,
    Cluster,
    Cost,
    Space,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinges:
    """Where the decision stands over all outcomes.

    ``decision`` is what it is in every outcome, None where it is not settled; ``possible`` are all
    that can come of it. ``tests`` is the smallest set that settles it. ``is_exact`` is false where
    there were too many outcomes: then the set may hold more tests than needed and ``possible``
    more decisions, never fewer.
    """

    decision: Decision | None
    possible: frozenset[Decision]
    tests: tuple[str, ...]
    is_exact: bool

    @property
    def is_settled(self) -> bool:
        return self.decision is not None


def hinges_of(space: Space, line: Line | NoLine) -> Hinges:
    """Return on which questions of the space the decision hinges."""
    sums = _all_sums(space)
    if sums is None:
        return _by_bounds(space, line)
    possible = frozenset(decide(cost, line) for cost in sums)
    if len(possible) == 1:
        return Hinges(decision=next(iter(possible)), possible=possible, tests=(), is_exact=True)
    tests: list[str] = []
    for cluster in space.clusters:
        others = [one for one in space.clusters if one is not cluster]
        rest = _Rest(_sums(space.stable, others) or frozenset(), line)
        tests += [one for one in cluster.ids if rest.can_tell(cluster.changes(one))]
    return Hinges(decision=None, possible=possible, tests=tuple(sorted(tests)), is_exact=True)


def _all_sums(space: Space) -> frozenset[Cost] | None:
    return None if space.bounds else _sums(space.stable, space.clusters)


def _sums(stable: Cost, clusters: Iterable[Cluster]) -> frozenset[Cost] | None:
    """Return every cost that the clusters can come to together, or None if there are too many."""
    found = {stable}
    for cluster in clusters:
        distinct = set(cluster.chosen)
        if len(found) * len(distinct) > 16 * MOST_OUTCOMES:
            return None
        found = {one.plus(other) for one, other in product(found, distinct)}
    return frozenset(found)


class _Rest:
    """What everything else can cost, ordered so that a threshold between is found at once."""

    def __init__(self, sums: frozenset[Cost], line: Line | NoLine) -> None:
        self._line = line
        self._nets: dict[int, list[int]] = {}
        for cost in sorted(sums, key=lambda one: one.net):
            self._nets.setdefault(cost.flags, []).append(cost.net)

    def can_tell(self, pairs: set[tuple[Cost, Cost]]) -> bool:
        """Tell whether one of these pairs leads to different decisions for some of the rest."""
        return any(
            self._differ(one, other, flags, nets)
            for one, other in pairs
            for flags, nets in self._nets.items()
        )

    def _differ(self, one: Cost, other: Cost, flags: int, nets: list[int]) -> bool:
        below = [_below_line(each.flags | flags) for each in (one, other)]
        if isinstance(self._line, NoLine):
            return below[0] is not below[1]
        low, high = sorted((one.net, other.net))
        if below[0] is not below[1]:
            # The cheaper of the two must stay below the line for some of the rest.
            return nets[0] + low < self._line.least_net
        at = bisect_left(nets, self._line.least_net - high)
        return at < len(nets) and nets[at] + low < self._line.least_net


def _below_line(flags: int) -> Decision:
    if flags & UNPRICED:
        return Decision.UNKNOWN
    return Decision.WHOLE_BATTERY if flags & BATTERY else Decision.REPAIR


def _by_bounds(space: Space, line: Line | NoLine) -> Hinges:
    least, most = extremes(space)
    flags = {space.stable.flags}
    for cluster in space.clusters:
        flags = {one | cost.flags for one in flags for cost in cluster.chosen}
    for bound in space.bounds:
        flags = _with_any_of(flags, bound)
    possible = {decide(Cost(net=net, flags=one), line) for net in (least, most) for one in flags}
    # A total loss at the least cost leaves nothing else; below it everything between is possible.
    is_settled = len(possible) == 1
    return Hinges(
        decision=next(iter(possible)) if is_settled else None,
        possible=frozenset(possible),
        tests=() if is_settled else space.live,
        is_exact=False,
    )


def _with_any_of(flags: set[int], bound: Bounds) -> set[int]:
    steps = [one for one in (BATTERY, UNPRICED) if bound.most.flags & one]
    found = set(flags)
    for step in steps:
        found |= {one | step for one in found}
    return found


def extremes(space: Space) -> tuple[int, int]:
    """Return the least and the most net cents over all outcomes, of what has a price."""
    least = most = space.stable.net
    for cluster in space.clusters:
        nets = [cost.net for cost in cluster.chosen]
        least, most = least + min(nets), most + max(nets)
    for bound in space.bounds:
        least, most = least + bound.least.net, most + bound.most.net
    return least, most
