"""Which test to do first, and what then: a small tree of "if it is met ... if it is not ...".

Tests that only look come first, then those on a part made safe, then those that stress it; among
equals the cheaper. A test that must not be done while a cooling plate may be breached is never put
first unless the vehicle maker directs it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from triage_app.domain.plan.decision import Decision, Line, NoLine
from triage_app.domain.plan.hinges import Hinges, hinges_of
from triage_app.domain.plan.needs import Outcome, Question
from triage_app.domain.plan.space import Space

DEEPEST: Final = 4
_NO_PRICE: Final = 10**12


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """What follows where one of these outcomes of the test above it comes true."""

    outcomes: tuple[Outcome, ...]
    then: "Settled | Node | Open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The decision is the same whatever else comes out."""

    decision: Decision


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """The decision still hinges on these tests; the tree is not drawn any further.

    ``held_back``: all of them wait for the vehicle maker's direction.
    """

    tests: tuple[str, ...]
    held_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A test to be done next."""

    question: Question
    branches: tuple[Branch, ...]


Tree = Settled | Node | Open


def in_order_of_care(
    questions: Iterable[Question], costs: Mapping[str, int | None]
) -> tuple[Question, ...]:
    """Return tests in the order in which they are best done; those held back stand last.

    ``costs`` are the cents of each test's own operation; one without a price comes after others.
    """

    def rank(one: Question) -> tuple[bool, int, int, str]:
        cost = costs.get(one.operation)
        return one.is_held_back, one.care, _NO_PRICE if cost is None else cost, one.id

    return tuple(sorted(questions, key=rank))


def tree_of(
    space: Space,
    line: Line | NoLine,
    questions: Mapping[str, Question],
    costs: Mapping[str, int | None],
    hinges: Hinges | None = None,
    depth: int = DEEPEST,
) -> Tree:
    """Return what to do first and what follows from it, ``depth`` tests deep."""
    found = hinges if hinges is not None else hinges_of(space, line)
    if found.decision is not None:
        return Settled(decision=found.decision)
    ordered = in_order_of_care([questions[name] for name in found.tests], costs)
    if not ordered or ordered[0].is_held_back or depth == 0 or not found.is_exact:
        held_back = bool(ordered) and all(one.is_held_back for one in ordered)
        return Open(tests=tuple(one.id for one in ordered), held_back=held_back)
    first = ordered[0]
    classes = space.classes[first.id]
    branches = []
    for each in sorted(set(classes)):
        same = [
            outcome for outcome, one in zip(first.outcomes, classes, strict=True) if one == each
        ]
        then = tree_of(space.restricted(first.id, each), line, questions, costs, depth=depth - 1)
        branches.append(Branch(outcomes=tuple(same), then=then))
    return Node(question=first, branches=tuple(branches))
