"""A summary without rules: these tests are about keeping, not about judging."""

from datetime import datetime

from rules import HvFlag, Risk
from triage_app.domain.case import Case
from triage_app.services.ports import CaseSummary


def plain_summary(case: Case, changed_at: datetime) -> CaseSummary:
    flagged = len(case.open_findings)
    return CaseSummary(
        case_id=case.id,
        reference=case.reference,
        vehicle=case.vehicle.description,
        opened=case.opened,
        changed_at=changed_at,
        photo_count=len(case.photos),
        finding_count=len(case.open_findings),
        hv_flagged_count=flagged,
        hv_flag=HvFlag.AT_HV if flagged else HvFlag.NONE,
        risk=Risk.HIGH if flagged else None,
    )
