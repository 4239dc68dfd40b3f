"""operations.toml and test_outcomes.toml -> WorkBook, strictly."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from rules.model import Component
from rules.reading.judgements import Words
from rules.reading.rows import Row, list_of_rows
from rules.reading.test_outcomes import read_results, read_tests
from rules.reading.words import Document, cited
from rules.reading.work_words import charges_of, parts_of, step_ids_of
from rules.terms import Basis, ComponentId, RulebookError, ZoneId
from rules.work import (
    Access,
    Charge,
    Labour,
    OperationKind,
    PartWork,
    Step,
    When,
    WorkBook,
    WorkKind,
)

OPERATIONS_FILE, OUTCOMES_FILE = "operations.toml", "test_outcomes.toml"
_TABLES = {"step", "work", "access", "whole_battery", "case_steps", "counted"}


def read_work(
    operations: Document, outcomes: Document, words: Words, zones: Iterable[ZoneId]
) -> WorkBook:
    """Return both tables as one; RulebookError names file, row and field."""
    for name in sorted(set(operations) - _TABLES):
        raise RulebookError(f"{OPERATIONS_FILE}, {name}: is not a table of this file.")
    steps = _steps(operations, words)
    top = Row(OPERATIONS_FILE, "operations", operations)
    battery, case, counted = (
        top.table(name) for name in ("whole_battery", "case_steps", "counted")
    )
    results = read_results(OUTCOMES_FILE, outcomes, words, steps)
    battery.known("step", (battery.text("step"),), steps)
    groups = {part.group for part in words.components.values()}
    battery.known("groups", battery.some("groups"), groups)
    book = WorkBook(
        steps=MappingProxyType(steps),
        works=MappingProxyType(_works(operations, words, steps)),
        accesses=tuple(_accesses(operations, words, steps, zones)),
        tests=MappingProxyType(read_tests(OUTCOMES_FILE, outcomes, words, steps)),
        results=MappingProxyType(results),
        whole_battery=battery.text("step"),
        battery_groups=frozenset(battery.some("groups")),
        always=step_ids_of(case, "always", steps),
        hv_flagged=step_ids_of(case, "hv_flagged", steps),
        kept_apart=step_ids_of(case, "kept_apart", steps),
        one_per_car=_parts_named(counted, "one_per_car", words),
        one_per_zone=_parts_named(counted, "one_per_zone", words),
    )
    for row in (battery, case, counted):
        row.finish()
    for both in sorted(book.one_per_car & book.one_per_zone):
        raise counted.fault("one_per_zone", f"'{both}' is one per car already.")
    return book


def _parts_named(row: Row, field: str, words: Words) -> frozenset[ComponentId]:
    row.known(field, row.some(field), words.components)
    return frozenset(ComponentId(name) for name in row.some(field))


def _steps(document: Document, words: Words) -> dict[str, Step]:
    rows = list_of_rows(OPERATIONS_FILE, document, "step", "id")
    steps: dict[str, Step] = {}
    for row in rows:
        step = Step(
            id=row.text("id"),
            label=row.text("label"),
            kind=row.word("kind", OperationKind),
            labour=row.word("labour", Labour),
            charges=charges_of(row),
            first=row.texts("first", optional=True),
            then=row.texts("then", optional=True),
            after=row.texts("after", optional=True),
            back=row.text("back") if row.has("back") else None,
            per_place=row.flag("per_place") if row.has("per_place") else False,
            when=row.word("when", When) if row.has("when") else When.BETWEEN,
            basis=row.word("basis", Basis),
            citations=cited(row, words.facts),
        )
        row.finish()
        if step.labour is Labour.OUTSIDE and Charge.HOURS in step.charges:
            raise row.fault("charges", "an outside service has a price and no hours.")
        steps[step.id] = step
    _check_names(rows, steps)
    return steps


def _check_names(rows: Iterable[Row], steps: Mapping[str, Step]) -> None:
    for row in rows:
        step = steps[row.name]
        for field, names in (("first", step.first), ("then", step.then), ("after", step.after)):
            row.known(field, names, steps)
        if step.back is None:
            continue
        row.known("back", (step.back,), steps)
        back = steps[step.back]
        if back.back is not None or back.per_place is not step.per_place:
            raise row.fault("back", f"'{back.id}' cannot undo it.")


def _works(
    document: Document, words: Words, steps: Mapping[str, Step]
) -> dict[tuple[ComponentId, WorkKind], PartWork]:
    works: dict[tuple[ComponentId, WorkKind], PartWork] = {}
    for number, row in enumerate(_unnamed(document, "work"), start=1):
        row.name = f"work {number}"
        parts = parts_of(row, words)
        if not parts.components and not parts.groups:
            raise row.fault("group", "or component must name the parts.")
        work = PartWork(
            kind=row.word("kind", WorkKind),
            label=row.text("label"),
            labour=row.word("labour", Labour),
            charges=charges_of(row),
            first=step_ids_of(row, "first", steps),
            then=step_ids_of(row, "then", steps),
            because=row.text("because"),
            basis=row.word("basis", Basis),
            citations=cited(row, words.facts),
        )
        row.finish()
        for part in words.components.values():
            if not parts.takes(part):
                continue
            if (part.id, work.kind) in works:
                raise row.fault("kind", f"'{part.id}' has a row for {work.kind} already.")
            works[part.id, work.kind] = work
    _refuse_gaps(words.components, works)
    return works


def _refuse_gaps(
    components: Iterable[ComponentId], works: Mapping[tuple[ComponentId, WorkKind], PartWork]
) -> None:
    for part in components:
        for kind in WorkKind:
            if (part, kind) not in works:
                raise RulebookError(f"{OPERATIONS_FILE}, work: '{part}' has no row for {kind}.")


def _accesses(
    document: Document, words: Words, steps: Mapping[str, Step], zones: Iterable[ZoneId]
) -> Iterable[Access]:
    known = frozenset(zones)
    for row in list_of_rows(OPERATIONS_FILE, document, "access", "id"):
        row.known("zone", row.texts("zone", optional=True), known)
        row.known("first", row.some("first"), steps)
        access = Access(
            id=row.text("id"),
            parts=parts_of(row, words),
            zones=frozenset(ZoneId(name) for name in row.texts("zone", optional=True)),
            first=row.some("first"),
            because=row.text("because"),
            basis=row.word("basis", Basis),
        )
        row.finish()
        _refuse_idle(row, access, words.components.values())
        yield access


def _refuse_idle(row: Row, access: Access, components: Iterable[Component]) -> None:
    for part in components:
        if access.parts.takes(part) and (not access.zones or access.zones & set(part.zones)):
            return
    raise row.fault("zone", "no part that it names is ever found there.")


def _unnamed(document: Document, key: str) -> tuple[Row, ...]:
    return Row(OPERATIONS_FILE, "operations", document).tables(key)
