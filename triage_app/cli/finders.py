"""Parts of a case by the numbers that people see."""

from triage_app.domain.case import Case, Finding
from triage_app.domain.errors import NotFoundError
from triage_app.domain.evidence import EvidenceRecord


def finding_numbered(case: Case, number: int) -> Finding:
    """Return the finding with this number; raises NotFoundError."""
    for finding in case.findings:
        if finding.number == number:
            return finding
    raise NotFoundError(f"Case {case.reference} has no finding {number}.")


def record_numbered(case: Case, number: int) -> EvidenceRecord:
    """Return the record of evidence with this number; raises NotFoundError."""
    for record in case.evidence:
        if record.number == number:
            return record
    raise NotFoundError(
        f"Case {case.reference} has no record {number}. See them all with: "
        f"underbody evidence {case.reference}"
    )
