"""Issue a Word report as a draft, or release one, and put it on record.

``report`` is not imported here: whoever wires the program passes the function that renders.
"""

import logging
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from rules import CaseAssessment, Rulebook, assess
from triage_app.domain.admission.status import admission_of
from triage_app.domain.case import Case, IssuedReport, Release
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.inspection.checklist import unexplained
from triage_app.domain.permissions import Action
from triage_app.domain.release import Blocker, release_blockers
from triage_app.domain.report_commands import RecordRelease, RecordReport
from triage_app.domain.review.queue import queue_of
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.state import status_of
from triage_app.domain.signed import Operator, Signed
from triage_app.services.permission import needs
from triage_app.services.ports import BlobStore, CaseStore, Clock

_log = logging.getLogger(__name__)
_HELD = "The car is held outside, unlifted; a senior technician has to decide."


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """The report that was released last, and its file."""

    report: IssuedReport
    data: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportInput:
    """Everything a report may say. ``journal_head`` is the last entry's hash before issue.

    ``is_release`` is True for a report that is released by its issue; any other is a draft, and
    ``blockers`` says what was missing then. ``earlier`` is what it is compared with, if anything.
    """

    case: Case
    assessment: CaseAssessment
    issued: Signed
    journal_head: str
    journal_count: int
    safing_policy: SafingPolicy = field(default_factory=SafingPolicy)
    is_release: bool = False
    blockers: tuple[Blocker, ...] = ()
    earlier: Earlier | None = None


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
        clock: Clock,
        rulebook: Rulebook,
        safing_policy: SafingPolicy,
    ) -> None:
        self._safing_policy = safing_policy
        self._rulebook = rulebook
        self._cases = cases
        self._blobs = blobs
        self._clock = clock

    @needs(Action.ISSUE_DRAFT)
    def issue(
        self,
        case_id: CaseId,
        *,
        by: Operator,
        render: Render,
        progress: Progress | None = None,
    ) -> Issued:
        """Render a draft of the case as it is now, keep it under its hash and record the issue.

        Raises NotFoundError, StorageError; then nothing is recorded.
        """
        started = time.perf_counter()
        material = self._material(case_id, by)
        data = render(material, self._blobs.get, progress or _no_progress)
        report = self._report(material, data)
        self._cases.apply(case_id, RecordReport(report=report), material.issued)
        milliseconds = (time.perf_counter() - started) * 1000
        _log.info("report_issued case=%s ms=%.0f", case_id, milliseconds)
        return Issued(report=report, data=data)

    @needs(Action.RELEASE)
    def release(
        self,
        case_id: CaseId,
        *,
        expected_revision: int,
        by: Operator,
        render: Render,
        progress: Progress | None = None,
    ) -> Issued:
        """Release a report of the case as it is now: sign for its state, and put that on record.

        Raises StaleCaseError where the case is not at the revision that ``by`` saw, or moves while
        the report is made; InvalidInputError naming what is missing first (see ``blockers``).
        """
        started = time.perf_counter()
        material = self._material(case_id, by)
        case = material.case
        if case.revision != expected_revision:
            raise StaleCaseError(
                f"Case {case.reference} is at revision {case.revision}; you looked at revision "
                f"{expected_revision}. Nothing was released; look at what changed first."
            )
        if material.blockers:
            raise InvalidInputError(_refusal(case, material.blockers))
        material = replace(material, is_release=True)
        data = render(material, self._blobs.get, progress or _no_progress)
        report = self._report(material, data)
        self._cases.apply(case_id, RecordRelease(report=report), material.issued)
        milliseconds = (time.perf_counter() - started) * 1000
        _log.info("report_released case=%s ms=%.0f", case_id, milliseconds)
        return Issued(report=report, data=data)

    def blockers(self, case: Case) -> tuple[Blocker, ...]:
        """Return what keeps a report of this case value a draft now; nothing is stored."""
        return self._blockers(
            case, assess(case_facts(case, self._rulebook.components), self._rulebook), self._clock()
        )

    def _blockers(self, case: Case, answer: CaseAssessment, now: datetime) -> tuple[Blocker, ...]:
        return release_blockers(
            case,
            queue=queue_of(case, answer, self._rulebook),
            safing=status_of(case, self._rulebook.components, now=now, policy=self._safing_policy),
            unexplained=(f"{one.what}: {one.why}." for one in unexplained(case, self._rulebook)),
            held_outside=_HELD if admission_of(case).is_held else "",
        )

    def _material(self, case_id: CaseId, by: Operator) -> ReportInput:
        """Return everything a report may say, the case and its journal of one moment."""
        whole = self._cases.with_journal(case_id)
        case, now = whole.case, self._clock()
        answer = assess(case_facts(case, self._rulebook.components), self._rulebook)
        return ReportInput(
            case=case,
            assessment=answer,
            issued=Signed(by=by.name, at=now),
            journal_head=whole.entries[-1].entry_hash,
            journal_count=len(whole.entries),
            safing_policy=self._safing_policy,
            blockers=self._blockers(case, answer, now),
            earlier=self._earlier(case),
        )

    def _earlier(self, case: Case) -> Earlier | None:
        released = [report for report in case.reports if report.release is not None]
        if not released:
            return None
        return Earlier(report=released[-1], data=self._blobs.get(released[-1].sha256))

    def _report(self, material: ReportInput, data: bytes) -> IssuedReport:
        head, count = material.journal_head, material.journal_count
        return IssuedReport(
            sha256=self._blobs.put(data),
            case_revision=material.case.revision,
            rulebook_sha256=material.assessment.stamp.sha256,
            file_name=_report_file_name(material),
            issued=material.issued,
            release=Release(journal_head=head, journal_count=count)
            if material.is_release
            else None,
        )

    @needs(Action.READ)
    def load(
        self,
        case_id: CaseId,
        sha256: Sha256,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> Issued:
        """Return a report that was issued for this case; raises NotFoundError."""
        case = self._cases.get(case_id)
        for report in case.reports:
            if report.sha256 == sha256:
                return Issued(report=report, data=self._blobs.get(sha256))
        raise NotFoundError(f"Case {case.reference} has no such report.")


def _no_progress(done: int, total: int) -> None:
    """Show nothing."""


def _report_file_name(material: ReportInput) -> str:
    case = material.case
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in case.reference)
    state = "released" if material.is_release else "draft"
    return f"underbody-report-{kept}-r{case.revision}-{state}.docx"


def _refusal(case: Case, blockers: Sequence[Blocker]) -> str:
    first, rest = blockers[0], len(blockers) - 1
    more = f" There {'is' if rest == 1 else 'are'} {rest} more." if rest else ""
    return f"The report of case {case.reference} stays a draft. {first.kind}: {first.what}{more}"
