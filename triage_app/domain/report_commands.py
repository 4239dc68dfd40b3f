"""The commands on reports: a draft was issued, a report was released. Neither is taken back."""

from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.case import Case, IssuedReport
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordReport:
    """Put on record that a draft was issued; one that is released has a command of its own."""

    kind: ClassVar[str] = "report issued"
    report: IssuedReport

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - report carries its own
        if self.report.release is not None:
            raise InvalidInputError("A report is released by a command of its own.")
        return _with_report(case, self.report)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRelease:
    """Put on record that a report was released. What has to be there first, services check."""

    kind: ClassVar[str] = "report released"
    report: IssuedReport

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - report carries its own
        if self.report.release is None:
            raise InvalidInputError("A released report names the journal that it was signed over.")
        if case.revision != self.report.case_revision:
            raise StaleCaseError(
                f"Case {case.reference} was changed while its report was being made: it is at "
                f"revision {case.revision} and the report shows {self.report.case_revision}. "
                "Nothing was released; look at what changed and release again."
            )
        return _with_report(case, self.report)


def _with_report(case: Case, report: IssuedReport) -> Case:
    if any(old.sha256 == report.sha256 for old in case.reports):
        return case
    return replace(case, reports=(*case.reports, report))
