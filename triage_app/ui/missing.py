"""What a report of this case would have to leave open, as sentences. Pure; decides nothing."""

from collections.abc import Iterator

from rules import CaseAssessment
from triage_app.domain.case import Case
from triage_app.domain.safing.state import SafingState, SafingStatus
from triage_app.ui import report_text, safing_text, text


def missing_sentences(
    case: Case, assessment: CaseAssessment, safing: SafingStatus, *, unsaved: int
) -> list[str]:
    """Return the gaps, the weightiest first. An empty list says nothing about the car."""
    return [
        *_of_safing(safing),
        *_of_findings(case, unsaved=unsaved),
        *_of_tests(assessment),
        *_of_incident(case),
        *_of_car(case),
        *_of_photos(case),
    ]


def _of_safing(safing: SafingStatus) -> Iterator[str]:
    if safing.state is not SafingState.RECORDED:
        yield safing_text.record_line(safing)


def _of_findings(case: Case, *, unsaved: int) -> Iterator[str]:
    if not case.open_findings:
        yield report_text.MISSING_FINDINGS
    if unsaved:
        yield report_text.missing_saved(unsaved)
    for name, sentence in (
        ("component", report_text.MISSING_COMPONENT),
        ("damage", report_text.MISSING_DAMAGE),
        ("zone", report_text.MISSING_ZONE),
    ):
        numbers = [one.number for one in case.open_findings if getattr(one.tags, name) is None]
        if numbers:
            yield report_text.with_numbers(sentence, numbers)
    unmarked = [finding.number for finding in case.open_findings if not finding.marks]
    if unmarked:
        yield report_text.with_numbers(report_text.MISSING_MARK, unmarked)


def _of_tests(assessment: CaseAssessment) -> Iterator[str]:
    if assessment.open_tests:
        yield report_text.missing_tests(len(assessment.open_tests))


def _of_incident(case: Case) -> Iterator[str]:
    unknown = [text.SIGNS[name] for name, known in case.incident.signs.items() if known is None]
    if unknown:
        yield report_text.missing_signs(unknown)
    for value, sentence in (
        (case.incident.what_happened, report_text.MISSING_WHAT_HAPPENED),
        (case.incident.happened_on, report_text.MISSING_HAPPENED_ON),
        (case.incident.insurer_reference, report_text.MISSING_INSURER_REFERENCE),
    ):
        if not value:
            yield sentence


def _of_car(case: Case) -> Iterator[str]:
    car = case.vehicle
    for value, sentence in (
        (car.system_voltage_v, report_text.MISSING_VOLTAGE),
        (car.vin, report_text.MISSING_VIN),
        (car.description or None, report_text.MISSING_DESCRIPTION),
        (car.odometer_km, report_text.MISSING_ODOMETER),
    ):
        if value is None:
            yield sentence


def _of_photos(case: Case) -> Iterator[str]:
    if not case.photos:
        yield report_text.MISSING_PHOTOS
    doubtful = [number for number, one in enumerate(case.photos, 1) if one.quality.complaints]
    if doubtful:
        yield report_text.with_numbers(report_text.MISSING_RETAKE, doubtful)
