"""All outcomes of the outstanding tests, and what each of them costs.

Cost is a sum over operations that are done once each. So questions that share no operation do not
touch one another, and fall into clusters: each is counted out by itself, the whole is the sum of
them. That is exact for any number of clusters of up to 2**16 outcomes; a larger cluster has bounds.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import prod
from typing import Final, NamedTuple

MOST_OUTCOMES: Final = 2**16
BATTERY, UNPRICED = 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A question with its outcomes, each as the operations that it adds."""

    id: str
    adds: tuple[frozenset[str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What is counted out.

    ``certain`` operations are done whatever comes out; ``replaced_by`` says what takes the place of
    which. ``brings`` returns operations with all that they bring along; ``weights`` are in whole
    cents, None where the price is not known. ``whole_battery`` is the operation that can be chosen
    in the place of all work on the battery, None where the battery is not touched.
    """

    certain: frozenset[str]
    choices: tuple[Choice, ...]
    replaced_by: Mapping[str, frozenset[str]]
    brings: Callable[[Iterable[str]], frozenset[str]]
    weights: Mapping[str, int | None]
    whole_battery: str | None = None

    def done(
        self, adds: Iterable[frozenset[str]], *, whole_battery: bool = False
    ) -> frozenset[str]:
        """Return every operation that is done if these outcomes come true."""
        roots = self.certain.union(*adds)
        if whole_battery and self.whole_battery is not None:
            roots |= {self.whole_battery}
        kept = [name for name in roots if not self.replaced_by.get(name, frozenset()) & roots]
        return self.brings(kept)


class Cost(NamedTuple):
    """Net cents of what has a price. ``flags`` tell of a whole battery and of missing prices."""

    net: int
    flags: int = 0

    def plus(self, other: "Cost") -> "Cost":
        """Return both together."""
        return Cost(net=self.net + other.net, flags=self.flags | other.flags)

    @property
    def is_unpriced(self) -> bool:
        return bool(self.flags & UNPRICED)

    @property
    def is_battery(self) -> bool:
        return bool(self.flags & BATTERY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """Questions that touch one another, counted out.

    ``ids`` are the questions, ``sizes`` how many outcomes of each differ; the tables run through
    their product, the last question fastest. ``chosen`` is the cheaper of repairing part by part
    and of a whole battery; ``by_part`` and ``by_battery`` are the two, the latter None where there
    is no such choice.
    """

    ids: tuple[str, ...]
    sizes: tuple[int, ...]
    chosen: tuple[Cost, ...]
    by_part: tuple[Cost, ...]
    by_battery: tuple[Cost, ...] | None

    def restricted(self, question: str, outcome: int) -> "Cluster":
        """Return the cluster with one outcome of one question come true."""
        at = self.ids.index(question)
        rows = [row for row, index in enumerate(self._column(at)) if index == outcome]
        return Cluster(
            ids=self.ids,
            sizes=(*self.sizes[:at], 1, *self.sizes[at + 1 :]),
            chosen=tuple(self.chosen[row] for row in rows),
            by_part=tuple(self.by_part[row] for row in rows),
            by_battery=None
            if self.by_battery is None
            else tuple(self.by_battery[row] for row in rows),
        )

    def _column(self, at: int) -> Iterator[int]:
        stride = prod(self.sizes[at + 1 :])
        for row in range(len(self.chosen)):
            yield row // stride % self.sizes[at]

    def changes(self, question: str) -> set[tuple[Cost, Cost]]:
        """Return the pairs of costs between which only this question makes the difference."""
        at = self.ids.index(question)
        stride, size = prod(self.sizes[at + 1 :]), self.sizes[at]
        pairs: set[tuple[Cost, Cost]] = set()
        for start in range(0, len(self.chosen), stride * size):
            parts = [
                self.chosen[start + stride * each : start + stride * (each + 1)]
                for each in range(size)
            ]
            for one in range(size):
                for other in range(one + 1, size):
                    pairs.update(zip(parts[one], parts[other], strict=True))
        return {(one, other) for one, other in pairs if one != other}

    def outcomes(self, row: int) -> dict[str, int]:
        """Return which outcome of each question a row of the tables stands for."""
        found: dict[str, int] = {}
        for at, question in enumerate(self.ids):
            stride = prod(self.sizes[at + 1 :])
            found[question] = row // stride % self.sizes[at]
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """A cluster that is too large to be counted out: it costs no less and no more than this."""

    ids: tuple[str, ...]
    sizes: tuple[int, ...]
    least: Cost
    most: Cost


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """Everything counted out. ``stable`` is what is done in every outcome.

    ``classes`` says for each question which of its outcomes make the same difference, as numbers
    from 0; a question with one class only makes none, and is in no cluster.
    """

    stable: Cost
    clusters: tuple[Cluster, ...]
    bounds: tuple[Bounds, ...]
    classes: Mapping[str, tuple[int, ...]]

    @property
    def is_exact(self) -> bool:
        return not self.bounds

    @property
    def live(self) -> tuple[str, ...]:
        """The questions that make a difference to the cost, sorted."""
        counted = [name for one in self.clusters for name in one.ids]
        bounded = [name for one in self.bounds for name in one.ids]
        return tuple(sorted(counted + bounded))

    @property
    def count(self) -> int:
        """How many different combinations of outcomes there are."""
        sizes = [one.sizes for one in self.clusters] + [one.sizes for one in self.bounds]
        return prod(prod(each) for each in sizes)

    def restricted(self, question: str, outcome: int) -> "Space":
        """Return the space in which an outcome, as numbered in ``classes``, has come true."""
        return Space(
            stable=self.stable,
            clusters=tuple(
                one.restricted(question, outcome) if question in one.ids else one
                for one in self.clusters
            ),
            bounds=self.bounds,
            classes=self.classes,
        )
