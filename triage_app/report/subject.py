"""What every section needs to know of the case, looked up once."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules import ActionId, Assessment, CaseAssessment, OpenTest, Rulebook
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import FindingId, PhotoId
from triage_app.domain.review.queue import ReviewQueue, queue_of
from triage_app.domain.safing.state import SafingStatus, status_of
from triage_app.report import labels
from triage_app.report.layout import Layout
from triage_app.services.reporting import ReportInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """The case with its assessment, findings in the order of the report.

    ``step_numbers`` are those of the list of all required actions.
    """

    material: ReportInput
    rulebook: Rulebook
    layout: Layout
    findings: tuple[Finding, ...]
    photo_names: Mapping[PhotoId, str]
    step_numbers: Mapping[ActionId, int]

    @classmethod
    def of(cls, material: ReportInput, rulebook: Rulebook, layout: Layout) -> "Subject":
        assessment = material.assessment
        return cls(
            material=material,
            rulebook=rulebook,
            layout=layout,
            findings=worst_first(material.case, assessment),
            photo_names=labels.photo_names(material.case),
            step_numbers={
                action.id: number
                for number, action in enumerate(
                    sorted(assessment.actions, key=lambda action: action.order), start=1
                )
            },
        )

    @property
    def case(self) -> Case:
        return self.material.case

    @property
    def safing(self) -> SafingStatus:
        """Where the make-safe record stood when the report was issued."""
        return status_of(
            self.case,
            self.rulebook.components,
            now=self.material.issued.at,
            policy=self.material.safing_policy,
        )

    @property
    def queue(self) -> ReviewQueue:
        """What named reviewers said of the findings, as far as it counts."""
        return queue_of(self.case, self.assessment, self.rulebook)

    @property
    def assessment(self) -> CaseAssessment:
        return self.material.assessment

    def of_finding(self, finding: Finding) -> Assessment:
        return self.assessment.of(finding.id)

    def name(self, finding: Finding) -> str:
        return labels.finding_name(finding, self.rulebook)

    @property
    def has_records_that_count(self) -> bool:
        return self.assessment.residual_risk is not None

    def open_tests_of(self, finding: Finding) -> tuple[OpenTest, ...]:
        """Return what is still outstanding after the accepted records."""
        of_it = self.of_finding(finding)
        return of_it.residual.open_tests if of_it.residual else of_it.open_tests

    @property
    def open_tests(self) -> tuple[OpenTest, ...]:
        """What is still outstanding in the whole case."""
        answer = self.assessment
        return answer.residual_open_tests if self.has_records_that_count else answer.open_tests

    def number_of(self, finding_id: str) -> int:
        return self.case.finding(FindingId(finding_id)).number


def worst_first(case: Case, assessment: CaseAssessment) -> tuple[Finding, ...]:
    """Return the findings that count in the order of the report: by risk, then by HV flag."""

    def rank(finding: Finding) -> tuple[int, int, int]:
        of_finding = assessment.of(finding.id)
        return -of_finding.risk, -of_finding.hv_flag, finding.number

    return tuple(sorted(case.open_findings, key=rank))


def anchor_of(finding: Finding) -> str:
    """Return the name of the bookmark at a finding's heading."""
    return f"finding_{finding.number}"
