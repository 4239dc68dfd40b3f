"""Ask the rules about a case, as it is or as it might be."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rules import CaseAssessment, CaseFacts, Rulebook, assess
from triage_app.domain.case import Case
from triage_app.domain.evidence_standing import Standing, Standings
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator
from triage_app.domain.what_changed import Changes, Item, changes_between
from triage_app.domain.what_if import SupposeEvidence, SupposeFinding, Supposition, suppose
from triage_app.services.known_words import check_tags, check_test
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What the rules say as it is and as it might be, and what is different.

    ``changes`` holds the case first (``finding_id`` None), then each finding that changes; it is
    empty where nothing would be different.
    """

    before: CaseAssessment
    after: CaseAssessment
    changes: tuple[Changes, ...]


class Triage:
    def __init__(self, *, cases: CaseStore, rulebook: Rulebook) -> None:
        self._cases = cases
        self._rulebook = rulebook

    @needs(Action.READ)
    def assess(
        self,
        case_id: CaseId,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> CaseAssessment:
        """Return what the rules say of the stored case; raises NotFoundError."""
        return self.assess_case(self._cases.get(case_id))

    def assess_case(self, case: Case) -> CaseAssessment:
        """Return what the rules say of this case value; nothing is stored."""
        return self.assess_facts(case_facts(case, self._rulebook.components))

    def assess_facts(self, facts: CaseFacts) -> CaseAssessment:
        """Return what the rules say of plain facts; nothing is stored."""
        return assess(facts, self._rulebook)

    @needs(Action.READ)
    def what_if(
        self,
        case_id: CaseId,
        suppositions: Sequence[Supposition],
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> WhatIf:
        """Return what the rules would say of the stored case if all this were so.

        Nothing is stored and nothing goes to the journal. ``domain.what_if`` holds what can be
        supposed. Raises NotFoundError, and whatever saving the same would be refused with.
        """
        return what_if(self._cases.get(case_id), suppositions, self._rulebook)

    def what_if_case(self, case: Case, suppositions: Sequence[Supposition]) -> WhatIf:
        """Return the same for a case value."""
        return what_if(case, suppositions, self._rulebook)


def what_if(case: Case, suppositions: Sequence[Supposition], rulebook: Rulebook) -> WhatIf:
    """Return what the rules would say of the case if all this were so; nothing is changed."""
    for supposed in suppositions:
        if isinstance(supposed, SupposeFinding):
            check_tags(supposed.tags, rulebook)
        if isinstance(supposed, SupposeEvidence):
            check_test(supposed.entry.test, rulebook)
    otherwise = suppose(case, suppositions)
    before, after = (
        assess(case_facts(one, rulebook.components), rulebook) for one in (case, otherwise)
    )
    changes = changes_between(
        before, after, records_before=_counting(case), records_after=_counting(otherwise)
    )
    return WhatIf(before=before, after=after, changes=changes)


def _counting(case: Case) -> Iterator[Item]:
    standings = Standings(case)
    for record in case.evidence:
        if standings.of(record) is Standing.COUNTS:
            said = record.entry.test or record.entry.instruction
            what = f"{record.entry.kind}, {said}" if said else str(record.entry.kind)
            yield Item(id=record.id, text=f"Record {record.number}: {what}")
