"""Proof of the operations: no circle, nothing idle, made safe before HV, all is closed again."""

from collections.abc import Iterator, Mapping

from rules.model import Component
from rules.rulebook import Rulebook
from rules.terms import ComponentId
from rules.work import OperationKind, WorkBook, WorkKind
from rules.work_order import Ordered, WorkCycleError, in_order

_TEST = "test"
_CLOSED_AGAIN = {
    OperationKind.SAFING,
    OperationKind.ACCESS,
    OperationKind.SUPPORT,
    OperationKind.DRAIN,
}


def work_faults(book: Rulebook) -> tuple[str, ...]:
    """Return one sentence for each fault of the operations and of what tests add."""
    return (
        *_circles(book),
        *_idle_steps(book),
        *_left_open(book.work),
        *_not_made_safe(book),
    )


def all_operations(book: Rulebook) -> dict[str, Ordered]:
    """Return every step, every work on every part and every test, as if one case had them all.

    What keeps to an order here keeps to it in every case, since a case has fewer of them.
    """
    work = book.work
    found = {
        step.id: Ordered(
            step=step.id,
            first=frozenset(step.first),
            then=frozenset(step.then),
            after=frozenset(step.after),
            back=step.back,
            when=step.when,
        )
        for step in work.steps.values()
    }
    for test in work.tests.values():
        found[f"{_TEST}:{test.test}"] = Ordered(step=_TEST, first=frozenset(test.first))
    for part in book.components.values():
        for kind in WorkKind:
            one = work.work(part, kind)
            found[f"{kind}:{part.id}"] = Ordered(
                step=f"{kind}:{part.id}",
                first=frozenset([*one.first, *work.access_to(part, None)]),
                then=frozenset(one.then),
                after=frozenset([_TEST]),
            )
    return found


def _circles(book: Rulebook) -> Iterator[str]:
    try:
        in_order(all_operations(book))
    except WorkCycleError as error:
        yield f"operations.toml: {error}"


def _idle_steps(book: Rulebook) -> Iterator[str]:
    work = book.work
    used = {*work.always, *work.hv_flagged, *work.kept_apart, work.whole_battery}
    for operation in all_operations(book).values():
        used |= operation.first | operation.then
        used |= {operation.back} if operation.back else set()
    used |= {step for found in work.results.values() for one in found for step in one.steps}
    for step in work.steps:
        if step not in used:
            yield f"{step}: nothing brings this step along."


def _left_open(work: WorkBook) -> Iterator[str]:
    for step in work.steps.values():
        if step.kind in _CLOSED_AGAIN and step.back is None:
            yield f"{step.id}: nothing undoes this step."


def _not_made_safe(book: Rulebook) -> Iterator[str]:
    operations = all_operations(book)
    for part in book.components.values():
        if not part.is_hv:
            continue
        for kind in WorkKind:
            if not _safed(part, kind, operations, book):
                yield f"{part.id}: nothing is made safe before somebody may {kind} it."


def _safed(
    part: Component, kind: WorkKind, operations: Mapping[str, Ordered], book: Rulebook
) -> bool:
    waiting, seen = [_name(part.id, kind)], set[str]()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in book.work.steps and book.work.steps[name].kind is OperationKind.SAFING:
            return True
        # The way to the part differs from place to place; only its own steps are certain.
        is_part = name == _name(part.id, kind)
        waiting += book.work.work(part, kind).first if is_part else operations[name].first
    return False


def _name(part: ComponentId, kind: WorkKind) -> str:
    return f"{kind}:{part}"
