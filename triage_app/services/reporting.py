"""Issue a Word report and put it on record.

``report`` is not imported here: whoever wires the program passes the function that renders.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from rules import CaseAssessment
from triage_app.domain.case import Case, IssuedReport
from triage_app.domain.commands import RecordReport
from triage_app.domain.errors import NotFoundError
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.signed import Operator, Signed
from triage_app.services.ports import BlobStore, CaseStore, Clock
from triage_app.services.triage import Triage

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportInput:
    """Everything a report may say. ``journal_head`` is the last entry's hash before issue."""

    case: Case
    assessment: CaseAssessment
    issued: Signed
    journal_head: str
    journal_count: int
    safing_policy: SafingPolicy = field(default_factory=SafingPolicy)


LoadPhoto = Callable[[Sha256], bytes]
Progress = Callable[[int, int], None]
Render = Callable[[ReportInput, LoadPhoto, Progress], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A report just issued: its record and its bytes."""

    report: IssuedReport
    data: bytes


class Reporting:
    def __init__(
        self,
        *,
        cases: CaseStore,
        blobs: BlobStore,
        triage: Triage,
        clock: Clock,
        safing_policy: SafingPolicy,
    ) -> None:
        self._safing_policy = safing_policy
        self._cases = cases
        self._blobs = blobs
        self._triage = triage
        self._clock = clock

    def issue(
        self,
        case_id: CaseId,
        *,
        by: Operator,
        render: Render,
        progress: Progress | None = None,
    ) -> Issued:
        """Render the case as it is now, keep the file under its hash and record the issue.

        Raises NotFoundError, StorageError; then nothing is recorded.
        """
        started = time.perf_counter()
        case = self._cases.get(case_id)
        journal = self._cases.journal(case_id)
        signed = Signed(by=by.name, at=self._clock())
        material = ReportInput(
            case=case,
            assessment=self._triage.assess_case(case),
            issued=signed,
            journal_head=journal[-1].entry_hash,
            journal_count=len(journal),
            safing_policy=self._safing_policy,
        )
        data = render(material, self._blobs.get, progress or _no_progress)
        report = IssuedReport(
            sha256=self._blobs.put(data),
            case_revision=case.revision,
            rulebook_sha256=material.assessment.stamp.sha256,
            file_name=_report_file_name(case),
            issued=signed,
        )
        self._cases.apply(case_id, RecordReport(report=report), signed)
        milliseconds = (time.perf_counter() - started) * 1000
        _log.info("report_issued case=%s ms=%.0f", case_id, milliseconds)
        return Issued(report=report, data=data)

    def load(self, case_id: CaseId, sha256: Sha256) -> Issued:
        """Return a report that was issued for this case; raises NotFoundError."""
        case = self._cases.get(case_id)
        for report in case.reports:
            if report.sha256 == sha256:
                return Issued(report=report, data=self._blobs.get(sha256))
        raise NotFoundError(f"Case {case.reference} has no such report.")


def _no_progress(done: int, total: int) -> None:
    """Show nothing."""


def _report_file_name(case: Case) -> str:
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in case.reference)
    return f"underbody-report-{kept}-r{case.revision}.docx"
