"""What a repair is made of: steps, what each part needs, and what each test may add.

Hours and prices are never here; they are the shop's.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from rules.model import Citation, Component
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    ActionId,
    Basis,
    ComponentId,
    OpenTestId,
    ZoneId,
)


class Labour(StrEnum):
    """Kind of labour, each with an hourly rate of its own in the shop."""

    BODY = "body"
    MECHANICAL = "mechanical"
    HV_QUALIFIED = "HV-qualified"
    STRUCTURAL = "structural"
    PAINT = "paint"
    OUTSIDE = "outside service"


class Charge(StrEnum):
    """What the shop's price list must give for an operation."""

    HOURS = "hours"
    PART = "part"
    OUTSIDE = "outside"
    DAYS = "days"


class OperationKind(StrEnum):
    """What an operation is; decides nothing, and is shown beside it."""

    SAFING = "safing"
    SCAN = "scan"
    ACCESS = "access"
    SUPPORT = "support"
    EQUIPMENT = "equipment"
    DRAIN = "drain"
    INSPECT = "inspect"
    CLEAN = "clean"
    REPAIR = "repair"
    REPLACE = "replace"
    REFILL = "refill"
    REFIT = "refit"
    ONE_TIME_USE = "one-time-use part"
    TEST = "test"
    CALIBRATE = "calibrate"
    PROGRAM = "program"
    STORAGE = "storage"
    FREIGHT = "freight"
    DISPOSAL = "disposal"


class WorkKind(StrEnum):
    """What is done to one part; later ones take the place of those before them."""

    INSPECT = "inspect"
    CLEAN = "clean"
    REPAIR = "repair"
    REPLACE = "replace"


class When(StrEnum):
    """Where a step stands against all other work."""

    FIRST = "first"
    BETWEEN = "between"
    LAST = "last"
    APART = "apart"


class Scope(StrEnum):
    """Whether a test is done once for the car, or for each finding that asks for it."""

    CAR = "car"
    FINDING = "finding"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Work that several findings may share: done and paid once, or once for each place.

    ``first`` must be done before it, ``then`` follows it and is brought along, ``back`` undoes it
    after all work in between. ``after`` only orders: where those are done too, they come before.
    """

    id: str
    label: str
    kind: OperationKind
    labour: Labour
    charges: frozenset[Charge]
    first: tuple[str, ...]
    then: tuple[str, ...]
    after: tuple[str, ...]
    back: str | None
    per_place: bool
    when: When
    basis: Basis
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartWork:
    """One kind of work on one kind of part. ``label`` holds ``{part}`` where its name goes."""

    kind: WorkKind
    label: str
    labour: Labour
    charges: frozenset[Charge]
    first: tuple[str, ...]
    then: tuple[str, ...]
    because: str
    basis: Basis
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Which parts a row speaks of; with nothing named, all. ``but`` takes single parts out."""

    components: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    but: frozenset[str] = frozenset()
    but_groups: frozenset[str] = frozenset()

    def takes(self, component: Component) -> bool:
        names = {component.id, component.like}
        if names & self.but or component.group in self.but_groups:
            return False
        if not self.components and not self.groups:
            return True
        return bool(names & self.components) or component.group in self.groups


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What must come off before anybody can work on a part. ``zones`` empty is any place."""

    id: str
    parts: Parts
    zones: frozenset[ZoneId]
    first: tuple[str, ...]
    because: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class TestWork:
    """How an outstanding test is done.

    ``care`` is 1 for a look, 2 for a measurement on a part made safe, 3 where the test itself
    stresses the part. While one of the actions ``not_while`` stands it is not done first, unless
    the vehicle maker directs it.
    """

    __test__ = False  # the test runner must not take it for a test

    test: OpenTestId
    scope: Scope
    care: int
    pressurises: bool
    not_while: frozenset[ActionId]
    labour: Labour
    charges: frozenset[Charge]
    first: tuple[str, ...]
    needs_access: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TestResult:
    """One way in which a test can come out, and the work that it adds.

    ``part`` is work on the finding's own part, ``behind`` on the HV parts behind it, ``works`` on
    other parts. An outcome without any adds nothing.
    """

    __test__ = False  # the test runner must not take it for a test

    id: str
    test: OpenTestId
    met: bool
    says: str
    parts: Parts
    part: WorkKind | None
    behind: WorkKind | None
    steps: tuple[str, ...]
    works: tuple[tuple[WorkKind, ComponentId], ...]
    whole_battery: bool
    basis: Basis
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkBook:
    """The tables of operations and of test outcomes, checked against the rest of the book.

    ``works`` holds every part of the book with every kind of work. ``whole_battery`` is the step
    that takes the place of all work on parts of ``battery_groups``.
    """

    steps: Mapping[str, Step]
    works: Mapping[tuple[ComponentId, WorkKind], PartWork]
    accesses: tuple[Access, ...]
    tests: Mapping[OpenTestId, TestWork]
    results: Mapping[OpenTestId, tuple[TestResult, ...]]
    whole_battery: str
    battery_groups: frozenset[str]
    always: tuple[str, ...]
    hv_flagged: tuple[str, ...]
    kept_apart: tuple[str, ...]
    one_per_car: frozenset[ComponentId]
    one_per_zone: frozenset[ComponentId]

    def work(self, component: Component, kind: WorkKind) -> PartWork:
        """Return what this kind of work on the part is; a shop's own part is like one of ours."""
        for name in (component.id, component.like):
            if name is not None and (name, kind) in self.works:
                return self.works[name, kind]
        return self.works[UNIDENTIFIED_COMPONENT, kind]

    def access_to(self, component: Component, zone: ZoneId | None) -> tuple[str, ...]:
        """Return the steps that open the way to a part; in an unknown zone, to all of its zones."""
        zones = set(component.zones) if zone is None else {zone}
        found = {
            step
            for access in self.accesses
            if access.parts.takes(component) and (not access.zones or access.zones & zones)
            for step in access.first
        }
        return tuple(sorted(found))

    def test(self, test: OpenTestId) -> TestWork:
        """Return how a test is done; one that the tables do not have is a shop's own."""
        if test in self.tests:
            return self.tests[test]
        return TestWork(
            test=test,
            scope=Scope.FINDING,
            care=3,
            pressurises=False,
            not_while=frozenset(),
            labour=Labour.HV_QUALIFIED,
            charges=frozenset([Charge.HOURS]),
            first=self.hv_flagged,
            needs_access=True,
        )

    def results_of(self, test: OpenTestId, component: Component) -> Iterator[TestResult]:
        """Yield the ways in which a test asked of such a part can come out.

        A shop's own test is met, or the part is replaced.
        """
        if test not in self.results:
            yield _of_shop(test, "The criterion is met.", None)
            yield _of_shop(
                test, "The criterion is not met: the part is replaced.", WorkKind.REPLACE
            )
        for result in self.results.get(test, ()):
            if result.parts.takes(component):
                yield result


def _of_shop(test: OpenTestId, says: str, part: WorkKind | None) -> TestResult:
    return TestResult(
        id=f"{test}_met" if part is None else f"{test}_not",
        test=test,
        met=part is None,
        says=says,
        parts=Parts(),
        part=part,
        behind=None,
        steps=(),
        works=(),
        whole_battery=False,
        basis=Basis.JUDGEMENT,
        citations=(),
    )
