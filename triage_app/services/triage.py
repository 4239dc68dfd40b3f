"""Ask the rules about a case."""

from rules import CaseAssessment, CaseFacts, Rulebook, assess
from triage_app.domain.case import Case
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId
from triage_app.services.ports import CaseStore


class Triage:
    def __init__(self, *, cases: CaseStore, rulebook: Rulebook) -> None:
        self._cases = cases
        self._rulebook = rulebook

    def assess(self, case_id: CaseId) -> CaseAssessment:
        """Return what the rules say of the stored case; raises NotFoundError."""
        return self.assess_case(self._cases.get(case_id))

    def assess_case(self, case: Case) -> CaseAssessment:
        """Return what the rules say of this case value; nothing is stored."""
        return self.assess_facts(case_facts(case))

    def assess_facts(self, facts: CaseFacts) -> CaseAssessment:
        """Return what the rules say of plain facts; nothing is stored."""
        return assess(facts, self._rulebook)
