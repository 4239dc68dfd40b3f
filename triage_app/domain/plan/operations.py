"""Operations of one case: steps and work on its parts, each once, and what each brings along."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rules import Component, ComponentId, OpenTestId, Rulebook, Side, ZoneId
from rules.work import Charge, Labour, OperationKind, WorkKind
from rules.work_order import Ordered, in_order

_BESIDE_TEST = "Test: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a part is. ``finding`` keeps apart what nobody gave a zone."""

    zone: ZoneId | None
    side: Side | None
    finding: str

    @property
    def key(self) -> str:
        if self.zone is None:
            return f"finding {self.finding}"
        return self.zone if self.side is None else f"{self.zone}/{self.side}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing that is done. ``name`` is its own in this case, ``price_id`` that of the list.

    ``place`` is empty where there is only one on a car. ``component`` and ``work`` are None for
    a step or a test.
    """

    name: str
    price_id: str
    label: str
    place: str
    kind: OperationKind
    labour: Labour
    charges: frozenset[Charge]
    order: Ordered
    component: ComponentId | None = None
    work: WorkKind | None = None

    @property
    def brings(self) -> frozenset[str]:
        """The operations that come along with it, before, after and to undo it."""
        back = frozenset() if self.order.back is None else frozenset([self.order.back])
        return self.order.first | self.order.then | back


class Workshop:
    """Makes operations by name, each once. Holds all that were asked for."""

    def __init__(self, book: Rulebook) -> None:
        self._book = book
        self._made: dict[str, Operation] = {}

    @property
    def operations(self) -> Mapping[str, Operation]:
        return self._made

    def step(self, step_id: str, place: str = "") -> str:
        """Return the name of a step at a place, and make it and all it brings along."""
        step = self._book.work.steps[step_id]
        at = place if step.per_place else ""
        name = f"{step_id}@{at}" if at else step_id
        if name in self._made:
            return name
        self._made[name] = Operation(  # What follows may lead back here.
            name=name,
            price_id=step_id,
            label=step.label,
            place=at,
            kind=step.kind,
            labour=step.labour,
            charges=step.charges,
            order=Ordered(
                step=step_id,
                first=self._named(step.first, place),
                then=self._named(step.then, place),
                after=frozenset(step.after),
                back=None if step.back is None else self._name(step.back, place),
                when=step.when,
            ),
        )
        for other in (*step.first, *step.then, *([step.back] if step.back else [])):
            self.step(other, place)
        return name

    def work(
        self, kind: WorkKind, component: ComponentId, place: Place, tests: Iterable[str] = ()
    ) -> str:
        """Return the name of work on a part, and make it and all it brings along.

        ``tests`` are names of tests that come before it.
        """
        part = self._book.components[component]
        at = self._part_place(part, place)
        price_id = f"{kind}:{component}"
        name = f"{price_id}@{at}" if at else price_id
        work, access = self._book.work.work(part, kind), self._access(part, place)
        known = self._made.get(name)
        earlier = frozenset() if known is None else known.order.after
        self._made[name] = Operation(
            name=name,
            price_id=price_id,
            label=work.label.format(part=part.label),
            place=at,
            kind=OperationKind(kind.value),
            labour=work.labour,
            charges=work.charges,
            order=Ordered(
                step=name,
                first=self._named([*work.first, *access], _corner(place)),
                then=self._named(work.then, _corner(place)),
                after=earlier | frozenset(tests),
            ),
            component=component,
            work=kind,
        )
        for step in (*work.first, *access, *work.then):
            self.step(step, _corner(place))
        return name

    def test(self, test: OpenTestId, key: str, where: Iterable[tuple[Component, Place]]) -> str:
        """Return the name of an outstanding test, and make it and what must be done before it."""
        work, open_test = self._book.work.test(test), self._book.open_tests[test]
        name = f"test:{key}"
        first = {self.step(step) for step in work.first}
        if work.needs_access:
            for part, place in where:
                steps = self._access(part, place)
                first |= {self.step(step, _corner(place)) for step in steps}
        self._made[name] = Operation(
            name=name,
            price_id=f"test:{test}",
            label=f"{_BESIDE_TEST}{open_test.text}",
            place="",
            kind=OperationKind.TEST,
            labour=work.labour,
            charges=work.charges,
            order=Ordered(step=name, first=frozenset(first)),
        )
        return name

    def closure(self, names: Iterable[str]) -> frozenset[str]:
        """Return these operations and everything that they bring along, however far."""
        found: set[str] = set()
        waiting = list(names)
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                waiting.extend(self._made[name].brings)
        return frozenset(found)

    def in_order(self, names: Iterable[str]) -> tuple[Operation, ...]:
        """Return operations in an order that can be worked; raises WorkCycleError."""
        ranks = list(OperationKind)
        chosen = sorted(
            (self._made[name] for name in names), key=lambda one: (ranks.index(one.kind), one.name)
        )
        return tuple(self._made[name] for name in in_order({one.name: one.order for one in chosen}))

    def _access(self, part: Component, place: Place) -> tuple[str, ...]:
        return self._book.work.access_to(part, place.zone)

    def _named(self, steps: Iterable[str], place: str) -> frozenset[str]:
        return frozenset(self._name(step, place) for step in steps)

    def _name(self, step_id: str, place: str) -> str:
        is_placed = self._book.work.steps[step_id].per_place and place
        return f"{step_id}@{place}" if is_placed else step_id

    def _part_place(self, part: Component, place: Place) -> str:
        names = {part.id, part.like}
        if names & self._book.work.one_per_car:
            return ""
        if names & self._book.work.one_per_zone and place.zone is not None:
            return place.zone
        return place.key


def _corner(place: Place) -> str:
    """Return where a step that is done per place is done: the zone; sides there do not differ."""
    return place.zone or place.key
