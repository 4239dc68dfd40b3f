"""What follows from probabilities, where the shop gives them; none is ever invented.

The tests are taken as independent of one another. That is an assumption, and is shown as one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from typing import Final

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.decision import Decision, Line, NoLine, decide
from triage_app.domain.plan.first_test import Node, Tree
from triage_app.domain.plan.needs import Question
from triage_app.domain.plan.space import MOST_OUTCOMES, Cluster, Cost, Space

_ONE: Final = Decimal(1)
Chances = Mapping[str, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is to be expected with the shop's probabilities.

    ``net`` in cents, None where prices are missing; ``decisions`` maps each decision to its
    probability. ``tests`` is the cost in cents of testing along the tree until the decision is
    settled, None where a test has no price or the tree stays open.
    """

    net: Decimal | None
    decisions: Mapping[Decision, Decimal]
    tests: Decimal | None


def checked_chances(question: Question, given: Chances) -> tuple[Decimal, ...] | None:
    """Return the probability of each outcome of a test, or None where none is given.

    ``given`` is by outcome id. Raises InvalidInputError where only some are given, one is not
    between 0 and 1, or they do not sum to 1.
    """
    named = {one.id for one in question.outcomes}
    wrong = sorted(set(given) - named)
    if wrong:
        raise InvalidInputError(f"The test '{question.id}' has no outcome '{wrong[0]}'.")
    if not given:
        return None
    missing = sorted(named - set(given))
    if missing:
        raise InvalidInputError(
            f"The test '{question.id}' has no probability for '{missing[0]}'; give all or none."
        )
    if any(not one.is_finite() or not 0 <= one <= 1 for one in given.values()):
        raise InvalidInputError(f"A probability of '{question.id}' is not between 0 and 1.")
    total = sum(given.values())
    if total != _ONE:
        raise InvalidInputError(f"The probabilities of '{question.id}' sum to {total:f}, not to 1.")
    return tuple(given[one.id] for one in question.outcomes)


def missing_chances(
    space: Space, questions: Iterable[Question], chances: Mapping[str, Chances]
) -> tuple[str, ...]:
    """Return the tests that make a difference and have no probabilities."""
    live = set(space.live)
    return tuple(
        one.id
        for one in questions
        if one.id in live and checked_chances(one, chances.get(one.id, {})) is None
    )


def expected(
    space: Space,
    line: Line | NoLine,
    questions: Mapping[str, Question],
    chances: Mapping[str, Chances],
    tree: Tree,
    test_costs: Mapping[str, int | None],
) -> Expected | None:
    """Return what is to be expected; None where probabilities are missing or outcomes too many."""
    if space.bounds or missing_chances(space, questions.values(), chances):
        return None
    by_class = {name: _by_class(space, questions[name], chances) for name in space.live}
    spread = {space.stable: _ONE}
    for cluster in space.clusters:
        own = _distribution(cluster, by_class)
        if len(spread) * len(own) > 16 * MOST_OUTCOMES:
            return None
        spread = _together(spread, own)
    decisions: dict[Decision, Decimal] = {}
    for cost, chance in spread.items():
        found = decide(cost, line)
        decisions[found] = decisions.get(found, Decimal(0)) + chance
    is_unpriced = any(cost.is_unpriced for cost, chance in spread.items() if chance)
    net = sum((cost.net * chance for cost, chance in spread.items()), Decimal(0))
    return Expected(
        net=None if is_unpriced else net,
        decisions={one: chance for one, chance in decisions.items() if chance},
        tests=_testing(tree, questions, chances, test_costs),
    )


def _by_class(
    space: Space, question: Question, chances: Mapping[str, Chances]
) -> dict[int, Decimal]:
    given = checked_chances(question, chances.get(question.id, {})) or ()
    found: dict[int, Decimal] = {}
    for each, chance in zip(space.classes[question.id], given, strict=True):
        found[each] = found.get(each, Decimal(0)) + chance
    return found


def _distribution(
    cluster: Cluster, by_class: Mapping[str, Mapping[int, Decimal]]
) -> dict[Cost, Decimal]:
    found: dict[Cost, Decimal] = {}
    columns = [
        [by_class[name][each] for each in range(size)]
        for name, size in zip(cluster.ids, cluster.sizes, strict=True)
    ]
    for cost, chosen in zip(cluster.chosen, product(*columns), strict=True):
        chance = _ONE
        for one in chosen:
            chance *= one
        found[cost] = found.get(cost, Decimal(0)) + chance
    return found


def _together(one: Mapping[Cost, Decimal], other: Mapping[Cost, Decimal]) -> dict[Cost, Decimal]:
    found: dict[Cost, Decimal] = {}
    for (left, p), (right, q) in product(one.items(), other.items()):
        both = left.plus(right)
        found[both] = found.get(both, Decimal(0)) + p * q
    return found


def _testing(
    tree: Tree,
    questions: Mapping[str, Question],
    chances: Mapping[str, Chances],
    costs: Mapping[str, int | None],
) -> Decimal | None:
    if not isinstance(tree, Node):
        return Decimal(0) if not hasattr(tree, "tests") else None
    cost = costs.get(tree.question.operation)
    if cost is None:
        return None
    total = Decimal(cost)
    given = chances[tree.question.id]
    for branch in tree.branches:
        chance = sum((given[one.id] for one in branch.outcomes), Decimal(0))
        below = _testing(branch.then, questions, chances, costs)
        if chance and below is None:
            return None
        total += chance * (below or Decimal(0))
    return total
