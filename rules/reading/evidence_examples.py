"""examples_evidence.toml -> EvidenceExample: a finding, what is on record of it, what remains."""

from collections.abc import Iterator
from dataclasses import replace

from rules.evidence import Evidence, EvidenceKind, TestOutcome
from rules.example import EvidenceExample, ExpectedResidual
from rules.model import CaseFacts
from rules.reading.examples import ExampleReader
from rules.reading.judgements import DISPOSITIONS, Words
from rules.reading.rows import Row, rows_of
from rules.reading.words import RISKS, Document
from rules.terms import Likelihood, OpenTestId, RuleId

FILE = "examples_evidence.toml"
# Word in a row -> outcome, whether the maker's criterion was typed in, whether about the whole car.
_RESULTS = {
    "met": (TestOutcome.MET, True, False),
    "met_on_car": (TestOutcome.MET, True, True),
    "met_without_criterion": (TestOutcome.MET, False, False),
    "inconclusive": (TestOutcome.INCONCLUSIVE, True, False),
    "not_met": (TestOutcome.NOT_MET, True, False),
}


class EvidenceExampleReader:
    """Reads the examples of evidence; findings are read as those of any other example."""

    def __init__(self, findings: ExampleReader, words: Words, rules: frozenset[RuleId]) -> None:
        self._findings = findings
        self._words = words
        self._rules = rules

    def read(self, document: Document) -> tuple[EvidenceExample, ...]:
        """Return one example for each row; RulebookError names file, row and field."""
        return tuple(self._example(row) for row in rows_of(FILE, document, "example", "id"))

    def _example(self, row: Row) -> EvidenceExample:
        rule = row.text("id").partition(" ")[0]  # the rule, a blank, a letter
        row.known("id", (rule,), self._rules)
        expect = row.table("expect")
        example = EvidenceExample(
            rule=RuleId(rule),
            hit=self._case(row, "hit"),
            miss=self._case(row, "miss"),
            expect=ExpectedResidual(
                likelihood=expect.word("likelihood", Likelihood),
                risk=expect.pick("risk", RISKS),
                disposition=expect.pick("disposition", DISPOSITIONS),
            ),
        )
        expect.finish()
        row.finish()
        return example

    def _case(self, row: Row, field: str) -> CaseFacts:
        case = self._findings.case(row, field)
        records: list[Evidence] = []
        for finding_id, name in (("1", f"{field}_given"), ("2", f"{field}_beside_given")):
            if row.has(name):
                given = row.table(name)
                records += self._records(given, finding_id)
                given.finish()
        return replace(case, evidence=tuple(records))

    def _records(self, given: Row, finding_id: str) -> Iterator[Evidence]:
        for word, (outcome, has_criterion, on_car) in _RESULTS.items():
            tests = given.texts(word, optional=True)
            given.known(word, tests, self._words.open_tests)
            for test in tests:
                yield Evidence(
                    id=f"{finding_id} {word} {test}",
                    kind=EvidenceKind.TEST_RESULT,
                    finding_id=None if on_car else finding_id,
                    test=OpenTestId(test),
                    outcome=outcome,
                    has_criterion=has_criterion,
                )
        if given.has("replaced") and given.flag("replaced"):
            kind = EvidenceKind.PART_REPLACED
            yield Evidence(id=f"{finding_id} replaced", kind=kind, finding_id=finding_id)
        if given.has("instruction"):
            yield Evidence(
                id=f"{finding_id} instruction",
                kind=EvidenceKind.MAKER_INSTRUCTION,
                finding_id=finding_id,
                instruction=given.pick("instruction", DISPOSITIONS),
            )
