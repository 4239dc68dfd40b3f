"""What somebody found out afterwards: a test result, a part replaced, a word of the maker.

Only records that a second named person has accepted, and that are still about the finding as it
stands, are ever passed in. There is no kind for gloves, signs, training, a make-safe record, a
chemistry, a low charge, a fired fuse or missing codes: none of them takes a hazard away.
"""

from dataclasses import dataclass
from enum import StrEnum

from rules.terms import Disposition, FactsError, OpenTestId


class EvidenceKind(StrEnum):
    """What a record is a record of."""

    TEST_RESULT = "test result"
    PART_REPLACED = "part replaced"
    MAKER_INSTRUCTION = "maker's instruction"


class TestOutcome(StrEnum):
    """What a test said, measured against its criterion."""

    __test__ = False  # the test runner must not take it for a test

    MET = "criterion met"
    NOT_MET = "criterion not met"
    INCONCLUSIVE = "inconclusive"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One accepted, current record.

    ``finding_id`` None is about the whole car, such as the isolation of its HV system: it counts
    for every finding that asks for that test. ``has_criterion`` is true when the maker's criterion
    (document and value) was typed in; a criterion "met" without it is inconclusive. A retest is a
    new record in the place of the old one; of several for one test the worst counts.
    Raises FactsError for a record that says nothing or two things.
    """

    id: str
    kind: EvidenceKind
    finding_id: str | None
    test: OpenTestId | None = None
    outcome: TestOutcome | None = None
    has_criterion: bool = False
    instruction: Disposition | None = None

    def __post_init__(self) -> None:
        is_test = self.kind is EvidenceKind.TEST_RESULT
        if is_test is (self.test is None) or is_test is (self.outcome is None):
            raise FactsError(
                f"Record '{self.id}': a test result, and nothing else, names its test and outcome."
            )
        is_instruction = self.kind is EvidenceKind.MAKER_INSTRUCTION
        if is_instruction is (self.instruction is None):
            raise FactsError(
                f"Record '{self.id}': an instruction of the maker, and nothing else, says what the "
                "part needs."
            )
        if self.finding_id is None and not is_test:
            raise FactsError(f"Record '{self.id}': only a test can be about the whole car.")

    @property
    def result(self) -> TestOutcome | None:
        """The outcome as far as it may count."""
        if self.outcome is TestOutcome.MET and not self.has_criterion:
            return TestOutcome.INCONCLUSIVE
        return self.outcome
