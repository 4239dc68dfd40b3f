"""The order of operations: what must come before what, and one order that keeps to it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from rules.work import When


class WorkCycleError(ValueError):
    """Operations that wait for one another; ``names`` holds them in the order of waiting."""

    def __init__(self, names: tuple[str, ...]) -> None:
        super().__init__(f"These operations wait for one another: {' -> '.join(names)}.")
        self.names = names


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """One operation as far as order goes; see ``rules.work.Step``. ``step`` is its id there."""

    step: str
    first: frozenset[str] = frozenset()
    then: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()
    back: str | None = None
    when: When = When.BETWEEN


def predecessors(operations: Mapping[str, Ordered]) -> dict[str, set[str]]:
    """Return, for each operation, those of ``operations`` that must come directly before it.

    What was opened is closed only after all work for which it was opened, and in the reverse order
    of opening. Names that are not among ``operations`` are passed over.
    """
    before: dict[str, set[str]] = {name: set() for name in operations}
    for name, one in operations.items():
        before[name] |= one.first & operations.keys()
        for later in one.then & operations.keys():
            before[later].add(name)
        if one.back in before:
            before[one.back].add(name)
    _close_after_use(operations, before)
    _keep_after(operations, before)
    _first_and_last(operations, before)
    for name, earlier in before.items():
        earlier.discard(name)
    return before


def in_order(operations: Mapping[str, Ordered]) -> tuple[str, ...]:
    """Return the operations in an order that can be worked, the same each time.

    Of those that could come next, the one given first in ``operations`` does. Raises WorkCycleError
    where some wait for one another.
    """
    rank = {name: number for number, name in enumerate(operations)}
    sorter = TopologicalSorter(predecessors(operations))
    try:
        sorter.prepare()
    except CycleError as error:
        raise WorkCycleError(tuple(error.args[1])) from error
    found: list[str] = []
    ready = list(sorter.get_ready())
    while ready:
        ready.sort(key=rank.__getitem__)
        name = ready.pop(0)
        found.append(name)
        sorter.done(name)
        ready.extend(sorter.get_ready())
    return tuple(found)


def _close_after_use(operations: Mapping[str, Ordered], before: dict[str, set[str]]) -> None:
    for name, one in operations.items():
        for opened in _needed(name, operations):
            closing = operations[opened].back
            if closing is None or closing not in before or closing == name:
                continue
            before[closing].add(name)
            if one.back in before:
                before[closing].add(one.back)


def _needed(name: str, operations: Mapping[str, Ordered]) -> Iterator[str]:
    """Yield everything that must be done before, however far back."""
    waiting, seen = [name], {name}
    while waiting:
        for earlier in operations[waiting.pop()].first & operations.keys():
            if earlier not in seen:
                seen.add(earlier)
                waiting.append(earlier)
                yield earlier


def _keep_after(operations: Mapping[str, Ordered], before: dict[str, set[str]]) -> None:
    by_step: dict[str, set[str]] = {}
    for name, one in operations.items():
        by_step.setdefault(one.step, set()).add(name)
    for name, one in operations.items():
        before[name] |= _united(by_step.get(step, set()) for step in one.after)


def _first_and_last(operations: Mapping[str, Ordered], before: dict[str, set[str]]) -> None:
    opening = {name for name, one in operations.items() if one.when is When.FIRST}
    opening |= _united(set(_needed(name, operations)) for name in tuple(opening))
    closing = {name for name, one in operations.items() if one.when is When.LAST}
    starts = {name for name in opening if operations[name].when is When.FIRST}
    apart = {name for name, one in operations.items() if one.when is When.APART}
    for name in operations.keys() - opening - apart:
        before[name] |= starts
    for name in closing:
        before[name] |= operations.keys() - closing - apart


def _united(sets: Iterable[set[str]]) -> set[str]:
    return set().union(*sets)
