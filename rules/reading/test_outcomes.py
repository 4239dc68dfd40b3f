"""test_outcomes.toml -> how each outstanding test is done, and what each outcome adds."""

from collections.abc import Mapping

from rules.reading.judgements import Words
from rules.reading.rows import Row, list_of_rows
from rules.reading.words import Document, cited
from rules.reading.work_words import charges_of, parts_of, step_ids_of
from rules.terms import ActionId, Basis, ComponentId, OpenTestId, RulebookError
from rules.work import Labour, Scope, Step, TestResult, TestWork, WorkKind

_MOST_CARE = 3


def read_tests(
    file: str, document: Document, words: Words, steps: Mapping[str, Step]
) -> dict[OpenTestId, TestWork]:
    """Return how each test of the book is done; RulebookError where one has no row."""
    tests: dict[OpenTestId, TestWork] = {}
    for row in list_of_rows(file, document, "test", "test"):
        row.known("test", (row.text("test"),), words.open_tests)
        row.known("not_while", row.texts("not_while", optional=True), words.actions)
        care = row.whole("care")
        if not 1 <= care <= _MOST_CARE:
            raise row.fault("care", f"must be 1 to {_MOST_CARE}, got {care}.")
        test = TestWork(
            test=OpenTestId(row.text("test")),
            scope=row.word("scope", Scope),
            care=care,
            pressurises=row.flag("pressurises") if row.has("pressurises") else False,
            not_while=frozenset(ActionId(one) for one in row.texts("not_while", optional=True)),
            labour=row.word("labour", Labour),
            charges=charges_of(row),
            first=step_ids_of(row, "first", steps),
            needs_access=row.flag("access") if row.has("access") else False,
        )
        row.finish()
        if test.pressurises and test.care != _MOST_CARE:
            raise row.fault("care", f"a test that pressurises has care {_MOST_CARE}.")
        tests[test.test] = test
    _refuse_missing(file, words, tests)
    return tests


def _refuse_missing(file: str, words: Words, rows: Mapping[OpenTestId, object]) -> None:
    for name in words.open_tests:
        if name not in rows:
            raise RulebookError(f"{file}, {name}: this outstanding test has no row.")


def read_results(
    file: str, document: Document, words: Words, steps: Mapping[str, Step]
) -> dict[OpenTestId, tuple[TestResult, ...]]:
    """Return the ways in which each test can come out; RulebookError for a part left without.

    Whatever part a test is asked of, it can be met, in one way, and not met.
    """
    for other in sorted(set(document) - {"test", "outcome"}):
        raise RulebookError(f"{file}, {other}: is not a table of this file.")
    results: dict[OpenTestId, tuple[TestResult, ...]] = {}
    for row in list_of_rows(file, document, "outcome", "id"):
        result = _result(row, words, steps)
        results[result.test] = (*results.get(result.test, ()), result)
    _refuse_missing(file, words, results)
    for test, found in results.items():
        _refuse_one_sided(file, test, found, words)
    return results


def _result(row: Row, words: Words, steps: Mapping[str, Step]) -> TestResult:
    row.known("test", (row.text("test"),), words.open_tests)
    result = TestResult(
        id=row.text("id"),
        test=OpenTestId(row.text("test")),
        met=row.flag("met"),
        says=row.text("says"),
        parts=parts_of(row, words),
        part=row.word("part", WorkKind) if row.has("part") else None,
        behind=row.word("behind", WorkKind) if row.has("behind") else None,
        steps=step_ids_of(row, "steps", steps),
        works=tuple(_named_work(row, text, words) for text in row.texts("works", optional=True)),
        whole_battery=row.flag("whole_battery") if row.has("whole_battery") else False,
        basis=row.word("basis", Basis),
        citations=cited(row, words.facts),
    )
    row.finish()
    if result.met and (result.part or result.behind or result.steps or result.works):
        raise row.fault("met", "a test that is met adds no work; the book says what remains.")
    if result.met and result.whole_battery:
        raise row.fault("whole_battery", "a test that is met does not ask for a battery.")
    return result


def _named_work(row: Row, text: str, words: Words) -> tuple[WorkKind, ComponentId]:
    kinds = {kind.value: kind for kind in WorkKind}
    kind, _, part = text.partition(":")
    if kind not in kinds or part not in words.components:
        raise row.fault("works", f"must read like 'replace:hv_cable', got '{text}'.")
    return kinds[kind], ComponentId(part)


def _refuse_one_sided(
    file: str, test: OpenTestId, found: tuple[TestResult, ...], words: Words
) -> None:
    for part in words.components.values():
        ways = [result.met for result in found if result.parts.takes(part)]
        if ways.count(True) != 1 or False not in ways:
            raise RulebookError(
                f"{file}, {test}: asked of '{part.id}' it needs one outcome that is met and at "
                "least one that is not."
            )
