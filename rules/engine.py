"""Facts in, assessment out."""

from rules.model import CaseAssessment, CaseFacts
from rules.rulebook import Rulebook


def assess(facts: CaseFacts, rulebook: Rulebook) -> CaseAssessment:
    raise NotImplementedError(facts, rulebook)
