"""Case -> the line that a list shows of it."""

from datetime import datetime

from rules import HvFlag, Rulebook, assess
from triage_app.domain.case import Case
from triage_app.domain.findings import case_facts
from triage_app.domain.review.queue import queue_of
from triage_app.services.ports import CaseSummary


def summarise(case: Case, changed_at: datetime, rulebook: Rulebook) -> CaseSummary:
    """Return the summary of a case as the rule book sees it now, reviewed findings as reviewed."""
    queue = queue_of(case, assess(case_facts(case, rulebook.components), rulebook), rulebook)
    return CaseSummary(
        case_id=case.id,
        reference=case.reference,
        vehicle=case.vehicle.description or case.vehicle.plate,
        opened=case.opened,
        changed_at=changed_at,
        photo_count=len(case.photos),
        finding_count=len(case.open_findings),
        hv_flagged_count=sum(item.hv_flag is not HvFlag.NONE for item in queue.items),
        hv_flag=queue.hv_flag,
        risk=queue.risk,
    )
