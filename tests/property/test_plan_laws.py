"""Range and hinge tests against counting out every outcome of random plans, one by one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, product

import networkx  # type: ignore[import-untyped]  # ships no types
from hypothesis import event, given, settings
from hypothesis import strategies as st

from rules.total_loss import TotalLossKind, TotalLossRule
from rules.work_order import Ordered, WorkCycleError, in_order, predecessors
from tests.unit.rules.book import the_book
from triage_app.domain.plan.counting import count_out
from triage_app.domain.plan.decision import Decision, Line, NoLine, TotalLossChoice, decide
from triage_app.domain.plan.hinges import extremes, hinges_of
from triage_app.domain.plan.space import BATTERY, UNPRICED, Choice, Cost, Problem

RULE: TotalLossRule = next(
    one for one in the_book().total_loss.values() if one.kind is TotalLossKind.PERCENTAGE
)
CHOICE = TotalLossChoice(rule_id=RULE.id, equality_counts=True, counts_tax=False)
NAMES = tuple(f"o{number}" for number in range(10))


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    names = NAMES[: draw(st.integers(2, len(NAMES)))]
    some = st.frozensets(st.sampled_from(names), max_size=2)
    brought = {name: draw(some) for name in names}
    graph = networkx.DiGraph()
    graph.add_nodes_from(names)
    graph.add_edges_from((one, other) for one, others in brought.items() for other in others)

    def brings(roots: Iterable[str]) -> frozenset[str]:
        """Return what comes along, by networkx and not by code of ours."""
        wanted = list(roots)
        return frozenset(wanted).union(*(networkx.descendants(graph, one) for one in wanted))

    takers: dict[str, frozenset[str]] = {}
    for at, name in enumerate(names):
        later = names[at + 1 :]
        takers[name] = (
            frozenset([draw(st.sampled_from(later))])
            if later and draw(st.integers(0, 3)) == 0
            else frozenset()
        )
    weight = st.one_of(st.integers(0, 400), st.sampled_from([0, 100, 1000]))
    unpriced = draw(st.integers(0, 9)) == 0
    weights: dict[str, int | None] = {name: draw(weight) for name in names}
    if unpriced:
        weights[draw(st.sampled_from(names))] = None
    outcomes = st.lists(some, min_size=1, max_size=3).map(tuple)
    return Problem(
        certain=draw(some),
        choices=tuple(
            Choice(id=f"q{number}", adds=draw(outcomes))
            for number in range(draw(st.integers(0, 5)))
        ),
        replaced_by=takers,
        brings=brings,
        weights=weights,
        whole_battery=draw(st.sampled_from([None, names[-1]])),
    )


lines = st.one_of(
    st.just(NoLine(missing=())),
    st.integers(0, 2500).map(
        lambda net: Line(
            rule=RULE, choice=CHOICE, limit=Decimal(net) / 100, least_net=net, words=""
        )
    ),
)


@dataclass(frozen=True)
class CountedOut:
    """The brute-force answer: every combination of outcomes with its cost and its decision."""

    costs: Mapping[tuple[int, ...], Cost]
    decisions: Mapping[tuple[int, ...], Decision]

    @classmethod
    def of(cls, problem: Problem, line: Line | NoLine) -> "CountedOut":
        costs = {
            chosen: _cheaper(
                problem,
                [one.adds[at] for one, at in zip(problem.choices, chosen, strict=True)],
            )
            for chosen in product(*(range(len(one.adds)) for one in problem.choices))
        }
        return cls(costs, {chosen: decide(cost, line) for chosen, cost in costs.items()})

    def smallest_set(self, ids: tuple[str, ...]) -> tuple[str, ...]:
        """Return the first of the smallest sets of questions that settle the decision."""
        for size in range(len(ids) + 1):
            found = [
                picked for picked in combinations(range(len(ids)), size) if self._settles(picked)
            ]
            if found:
                assert len(found) == 1, "the smallest set is not the only one"
                return tuple(ids[at] for at in found[0])
        raise AssertionError("all questions together do not settle it")

    def _settles(self, picked: tuple[int, ...]) -> bool:
        seen: dict[tuple[int, ...], Decision] = {}
        return all(
            seen.setdefault(tuple(chosen[at] for at in picked), decision) is decision
            for chosen, decision in self.decisions.items()
        )


def _cheaper(problem: Problem, adds: list[frozenset[str]]) -> Cost:
    by_part = problem.done(adds)
    is_battery = problem.whole_battery in problem.certain.union(*adds)
    cost = _cost(problem, by_part, is_battery=is_battery)
    if problem.whole_battery is None:
        return cost
    whole = problem.done(adds, whole_battery=True)
    other = _cost(problem, whole, is_battery=True)
    differing = by_part ^ whole
    if other.net < cost.net and all(problem.weights[one] is not None for one in differing):
        return other
    return cost


def _cost(problem: Problem, done: Iterable[str], *, is_battery: bool) -> Cost:
    weights = [problem.weights[one] for one in done]
    flags = (UNPRICED if None in weights else 0) | (BATTERY if is_battery else 0)
    return Cost(net=sum(one for one in weights if one is not None), flags=flags)


@settings(max_examples=250)
@given(problems(), lines)
def test_range_decision_and_hinges_are_those_of_counting_everything_out(
    problem: Problem, line: Line | NoLine
) -> None:
    counted = CountedOut.of(problem, line)
    space = count_out(problem)
    nets = [cost.net for cost in counted.costs.values()]
    assert extremes(space) == (min(nets), max(nets))
    hinges = hinges_of(space, line)
    assert hinges.is_exact
    assert hinges.possible == frozenset(counted.decisions.values())
    assert hinges.tests == tuple(
        sorted(counted.smallest_set(tuple(one.id for one in problem.choices)))
    )
    event(f"{len(hinges.tests)} hinge tests")


@settings(max_examples=100)
@given(problems(), lines, st.data())
def test_with_one_outcome_come_true_the_rest_is_counted_out_the_same_way(
    problem: Problem, line: Line | NoLine, data: st.DataObject
) -> None:
    space = count_out(problem)
    if not space.live:
        return
    name = data.draw(st.sampled_from(space.live))
    at = [one.id for one in problem.choices].index(name)
    outcome = data.draw(st.integers(0, len(problem.choices[at].adds) - 1))
    left = space.restricted(name, space.classes[name][outcome])
    counted = CountedOut.of(problem, line)
    nets = [cost.net for chosen, cost in counted.costs.items() if chosen[at] == outcome]
    assert extremes(left) == (min(nets), max(nets))
    decisions = {one for chosen, one in counted.decisions.items() if chosen[at] == outcome}
    assert hinges_of(left, line).possible == decisions
    assert name not in hinges_of(left, line).tests


@st.composite
def works(draw: st.DrawFn) -> dict[str, Ordered]:
    names = NAMES[: draw(st.integers(1, 7))]
    some = st.frozensets(st.sampled_from(names), max_size=2)
    return {
        name: Ordered(
            step=name,
            first=draw(some) - {name},
            then=draw(some) - {name},
            back=draw(st.sampled_from([None, *names])),
        )
        for name in names
    }


@settings(max_examples=150)
@given(works())
def test_order_and_circles_are_those_that_networkx_finds(operations: dict[str, Ordered]) -> None:
    graph = networkx.DiGraph()
    graph.add_nodes_from(operations)
    for name, earlier in predecessors(operations).items():
        graph.add_edges_from((one, name) for one in earlier)
    try:
        place = {name: at for at, name in enumerate(in_order(operations))}
    except WorkCycleError as error:
        assert not networkx.is_directed_acyclic_graph(graph)
        # The circle that is named is one in the graph, walked against its arrows or along them.
        pairs = list(zip(error.names, error.names[1:], strict=False))
        along = all(graph.has_edge(one, other) for one, other in pairs)
        assert along or all(graph.has_edge(other, one) for one, other in pairs)
        return
    assert networkx.is_directed_acyclic_graph(graph)
    assert all(place[one] < place[other] for one, other in graph.edges)
