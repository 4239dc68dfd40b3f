"""Assessment -> what is certain to be done, and the questions that outstanding tests put.

Work that the book still asks for when every outstanding test is met is certain. Where it then still
says "test first", no test can answer it, and the part counts as one to be replaced.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from rules import (
    Assessment,
    CaseAssessment,
    CaseFacts,
    Component,
    ComponentId,
    Disposition,
    Evidence,
    EvidenceKind,
    Facts,
    HvFlag,
    OpenTestId,
    Quarantine,
    Rulebook,
    TestOutcome,
    assess,
)
from rules.work import Scope, TestResult, WorkKind
from triage_app.domain.plan.operations import Place, Workshop

# What a look behind a part can find hurt where the book names nothing behind it.
_BEHIND_ANY_PART = ComponentId("hv_cable")
_KINDS = {
    Disposition.MONITOR: WorkKind.INSPECT,
    Disposition.CLEAN_AND_PROTECT: WorkKind.CLEAN,
    Disposition.REPAIR: WorkKind.REPAIR,
    Disposition.TEST_FIRST: WorkKind.REPLACE,
    Disposition.REPLACE: WorkKind.REPLACE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One way in which a test can come out. ``adds`` are names of operations."""

    id: str
    says: str
    met: bool
    adds: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A test that is outstanding, asked once for these findings.

    ``operation`` is the test itself. ``is_held_back``: it may not be done first, unless the vehicle
    maker directs it. ``care`` is 1 to 3, as in the rule book.
    """

    id: str
    test: OpenTestId
    label: str
    by: str
    findings: tuple[str, ...]
    operation: str
    care: int
    pressurises: bool
    is_held_back: bool
    outcomes: tuple[Outcome, ...]

    @property
    def is_failed(self) -> bool:
        """True when it is known not to be met, and only what that leads to is open."""
        return not any(outcome.met for outcome in self.outcomes)


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingNeeds:
    """What one finding needs whatever the tests say. ``part`` names its part, of all the kinds."""

    finding_id: str
    kind: WorkKind
    operation: str
    by_kind: Mapping[WorkKind, str]
    no_test_answers: bool
    is_in_battery: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What the plan is made from.

    ``certain`` are names of operations, ``replaced_by`` says which of them, or of those that
    outcomes add, another takes the place of.
    """

    workshop: Workshop
    findings: tuple[FindingNeeds, ...]
    certain: tuple[str, ...]
    questions: tuple[Question, ...]
    replaced_by: Mapping[str, frozenset[str]]
    whole_battery: str | None


def needs_of(
    facts: CaseFacts,
    book: Rulebook,
    *,
    numbers: Mapping[str, int],
    directed: frozenset[OpenTestId] = frozenset(),
) -> Needs:
    """Return what these findings need. ``directed``: tests that the maker directs to be done.

    ``numbers`` are the findings' own, by id; they stay in the names of operations.
    """
    return _NeedsMaker(facts, book, numbers, directed).make()


class _NeedsMaker:
    def __init__(
        self,
        facts: CaseFacts,
        book: Rulebook,
        numbers: Mapping[str, int],
        directed: frozenset[OpenTestId],
    ) -> None:
        self._facts = facts
        self._book = book
        self._numbers = numbers
        self._directed = directed
        self._shop = Workshop(book)
        self._case = assess(facts, book)
        self._if_met = assess(_all_met(facts, self._case), book)
        self._by_id = {one.finding_id: one for one in self._case.findings}
        self._tests: dict[str, list[str]] = {}

    def make(self) -> Needs:
        questions = tuple(self._questions())
        findings = tuple(
            self._finding(facts, met)
            for facts, met in zip(self._facts.findings, self._if_met.findings, strict=True)
        )
        tests = tuple(question.operation for question in questions)
        whole = self._whole_battery(questions, findings)
        certain = (*self._case_steps(), *tests, *(one.operation for one in findings))
        return Needs(
            workshop=self._shop,
            findings=findings,
            certain=tuple(dict.fromkeys(certain)),
            questions=questions,
            replaced_by=self._replaced_by(whole),
            whole_battery=whole,
        )

    def _case_steps(self) -> Iterator[str]:
        work, steps = self._book.work, list(self._book.work.always)
        if any(one.hv_flag > HvFlag.NONE for one in self._case.findings):
            steps += work.hv_flagged
        if self._case.quarantine.level > Quarantine.NOT_ASKED:
            steps += work.kept_apart
        return (self._shop.step(step) for step in steps)

    def _finding(self, facts: Facts, met: Assessment) -> FindingNeeds:
        left = met.disposition if met.residual is None else met.residual.disposition
        was_replaced = any(
            record.kind is EvidenceKind.PART_REPLACED and record.finding_id == facts.finding_id
            for record in self._facts.evidence
        )
        kind = WorkKind.REPLACE if was_replaced else _KINDS[left]
        place, tests = self._place(facts), self._tests.get(facts.finding_id, [])
        by_kind = {one: self._shop.work(one, facts.component, place, tests) for one in WorkKind}
        return FindingNeeds(
            finding_id=facts.finding_id,
            kind=kind,
            operation=by_kind[kind],
            by_kind=by_kind,
            no_test_answers=left is Disposition.TEST_FIRST and not was_replaced,
            is_in_battery=self._part(facts).group in self._book.work.battery_groups,
        )

    def _questions(self) -> Iterator[Question]:
        asked: dict[str, tuple[OpenTestId, list[Facts]]] = {}
        for facts in self._facts.findings:
            one = self._by_id[facts.finding_id]
            for test in one.open_tests if one.residual is None else one.residual.open_tests:
                key = self._key(test.id, facts)
                asked.setdefault(key, (test.id, []))[1].append(facts)
        for key in sorted(asked):
            yield self._question(key, *asked[key])

    def _key(self, test: OpenTestId, facts: Facts) -> str:
        if self._book.work.test(test).scope is Scope.CAR:
            return test
        return f"{test}#{self._numbers[facts.finding_id]}"

    def _question(self, key: str, test: OpenTestId, asking: list[Facts]) -> Question:
        work = self._book.work.test(test)
        where = [(self._part(facts), self._place(facts)) for facts in asking]
        operation = self._shop.test(test, key, where)
        for facts in asking:
            self._tests.setdefault(facts.finding_id, []).append(operation)
        actions = {
            action.id for facts in asking for action in self._by_id[facts.finding_id].actions
        }
        actions |= {action.id for action in self._case.actions}
        return Question(
            id=key,
            test=test,
            label=self._book.open_tests[test].text,
            by=self._book.open_tests[test].by,
            findings=tuple(facts.finding_id for facts in asking),
            operation=operation,
            care=work.care,
            pressurises=work.pressurises,
            is_held_back=bool(work.not_while & actions) and test not in self._directed,
            outcomes=tuple(self._outcomes(test, asking)),
        )

    def _outcomes(self, test: OpenTestId, asking: list[Facts]) -> Iterator[Outcome]:
        adds: dict[str, set[str]] = {}
        rows: dict[str, TestResult] = {}
        for facts in asking:
            for result in self._book.work.results_of(test, self._part(facts)):
                if result.id not in rows:
                    adds[result.id] = set(self._added_once(result, facts))
                rows[result.id] = result
                adds[result.id].update(self._added_to(result, facts))
        is_failed = any(self._failed(test, facts) for facts in asking)
        for result_id, row in rows.items():
            if not (is_failed and row.met):
                yield Outcome(
                    id=result_id, says=row.says, met=row.met, adds=frozenset(adds[result_id])
                )

    def _added_to(self, result: TestResult, facts: Facts) -> Iterator[str]:
        """Yield the work that an outcome adds for each finding that asks for the test."""
        place = self._place(facts)
        if result.part is not None:
            yield self._shop.work(result.part, facts.component, place)
        if result.behind is not None:
            for part in self._behind(facts):
                yield self._shop.work(result.behind, part.id, place)

    def _added_once(self, result: TestResult, facts: Facts) -> Iterator[str]:
        """Yield the work that it adds once, however many findings ask for the test."""
        place = self._place(facts)
        for step in result.steps:
            yield self._shop.step(step)
        for kind, component in result.works:
            part = self._book.components[component]
            is_there = facts.zone is not None and facts.zone in part.zones
            at = place if is_there else Place(zone=None, side=None, finding=result.id)
            yield self._shop.work(kind, component, at)
        if result.whole_battery:
            yield self._shop.step(self._book.work.whole_battery)

    def _behind(self, facts: Facts) -> Iterable[Component]:
        parts = [self._book.components[name] for name in self._part(facts).behind]
        near = [part for part in parts if facts.zone is None or facts.zone in part.zones]
        return near or [self._book.components[_BEHIND_ANY_PART]]

    def _failed(self, test: OpenTestId, facts: Facts) -> bool:
        return any(
            record.test == test
            and record.result is TestOutcome.NOT_MET
            and record.finding_id in (None, facts.finding_id)
            for record in self._facts.evidence
        )

    def _whole_battery(
        self, questions: Iterable[Question], findings: Iterable[FindingNeeds]
    ) -> str | None:
        step = self._book.work.whole_battery
        is_asked = any(step in one.adds for question in questions for one in question.outcomes)
        if is_asked or any(finding.is_in_battery for finding in findings):
            return self._shop.step(step)
        return None

    def _replaced_by(self, whole_battery: str | None) -> dict[str, frozenset[str]]:
        """Return for each work what takes its place: more work on the part, a whole battery."""
        kinds = list(WorkKind)
        works = {
            (one.component, one.place, one.work): one
            for one in self._shop.operations.values()
            if one.component is not None and one.work is not None
        }
        found: dict[str, frozenset[str]] = {}
        for (component, place, kind), one in works.items():
            more = [
                works.get((component, place, other)) for other in kinds[kinds.index(kind) + 1 :]
            ]
            takers = {other.name for other in more if other is not None}
            group = self._book.components[component].group
            if whole_battery and group in self._book.work.battery_groups:
                takers.add(whole_battery)
            found[one.name] = frozenset(takers)
        return found

    def _part(self, facts: Facts) -> Component:
        return self._book.components[facts.component]

    def _place(self, facts: Facts) -> Place:
        number = self._numbers[facts.finding_id]
        return Place(zone=facts.zone, side=facts.side, finding=str(number))


def _all_met(facts: CaseFacts, case: CaseAssessment) -> CaseFacts:
    """Return the facts as they would be if every outstanding test met its criterion."""
    met = [
        Evidence(
            id=f"if met: {one.finding_id}, {test.id}",
            kind=EvidenceKind.TEST_RESULT,
            finding_id=one.finding_id,
            test=test.id,
            outcome=TestOutcome.MET,
            has_criterion=True,
        )
        for one in case.findings
        for test in (one.open_tests if one.residual is None else one.residual.open_tests)
    ]
    return replace(facts, evidence=(*facts.evidence, *met))
