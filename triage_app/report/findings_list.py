"""The findings as plain rows, for a spreadsheet or another program: the report's own words."""

import csv
import io
from dataclasses import astuple, dataclass, fields

from rules import Assessment, CaseAssessment, Rulebook
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import FindingId
from triage_app.report import labels
from triage_app.report.plain_text import one_line
from triage_app.report.subject import worst_first

# A spreadsheet reads a cell that starts with one of these as a formula and may run it.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One finding. None is *not measured* or *not known*, never zero; lengths in millimetres.

    ``residual_risk`` is the second answer, after accepted records; empty while none counts.
    """

    number: int
    part: str
    damage: str
    zone: str
    side: str
    hv_flag: str
    risk: str
    residual_risk: str
    disposition: str
    length_mm: float | None
    width_mm: float | None
    depth_mm: float | None
    distance_to_hv_mm: float | None
    distance_uncertainty_mm: float | None
    deciding_rules: str
    deciding_reason: str
    outstanding_tests: str
    photos: str
    note: str
    recorded_by: str
    recorded_at: str


def finding_rows(
    case: Case, assessment: CaseAssessment, rulebook: Rulebook
) -> tuple[FindingRow, ...]:
    """Return every finding that counts, in the order of the report: worst first."""
    return tuple(
        _row(case, finding, assessment.of(finding.id), rulebook)
        for finding in worst_first(case, assessment)
    )


def finding_tags(
    case: Case, assessment: CaseAssessment, rulebook: Rulebook
) -> dict[FindingId, tuple[str, ...]]:
    """Return a few words for each finding that counts: number, part, damage, place, HV flag."""
    return {
        finding.id: (
            f"Finding {finding.number}",
            labels.component_label(finding.tags, rulebook),
            labels.damage_label(finding.tags, rulebook),
            labels.place_label(finding.tags, rulebook),
            labels.HV_FLAG_WORDS[assessment.of(finding.id).hv_flag],
            f"Risk {labels.risk_word(assessment.of(finding.id).risk)}",
        )
        for finding in case.open_findings
    }


def csv_of(rows: tuple[FindingRow, ...]) -> bytes:
    """Return the rows as CSV (RFC 4180, UTF-8 with a byte order mark, so that Excel reads it).

    Text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([field.name for field in fields(FindingRow)])
    for row in rows:
        writer.writerow(["" if value is None else _inert(value) for value in astuple(row)])
    return out.getvalue().encode("utf-8-sig")


def _row(case: Case, finding: Finding, answer: Assessment, book: Rulebook) -> FindingRow:
    tags, measures = finding.tags, finding.tags.measures
    zone = book.zones.get(tags.zone) if tags.zone else None
    open_tests = answer.residual.open_tests if answer.residual else answer.open_tests
    return FindingRow(
        number=finding.number,
        part=labels.component_label(tags, book),
        damage=labels.damage_label(tags, book),
        zone=zone.label if zone else (tags.zone or labels.NOT_RECORDED),
        side=labels.SIDE_WORDS[tags.side] if tags.side else labels.NOT_RECORDED,
        hv_flag=labels.HV_FLAG_WORDS[answer.hv_flag],
        risk=labels.risk_word(answer.risk),
        residual_risk=labels.risk_word(answer.residual.risk) if answer.residual else "",
        disposition=labels.DISPOSITION_WORDS[answer.disposition],
        length_mm=measures.length_mm,
        width_mm=measures.width_mm,
        depth_mm=measures.depth_mm,
        distance_to_hv_mm=measures.distance_to_hv_mm,
        distance_uncertainty_mm=measures.distance_uncertainty_mm,
        deciding_rules="; ".join(answer.decided_by),
        deciding_reason=_deciding_reason(answer),
        outstanding_tests=" ".join(test.text for test in open_tests),
        photos="; ".join(_photos_of(case, finding)),
        note=one_line(tags.note),
        recorded_by=finding.created.by,
        recorded_at=finding.created.at.isoformat(),
    )


def _deciding_reason(answer: Assessment) -> str:
    return " ".join(
        reason.because for reason in answer.reasons if reason.rule_id in answer.decided_by
    )


def _photos_of(case: Case, finding: Finding) -> list[str]:
    names = labels.photo_names(case)
    return list(dict.fromkeys(names[mark.photo_id] for mark in finding.marks))


def _inert(value: str | float) -> str | float:
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return f"'{value}"
    return value
