"""Cases, findings and answers as lines for a terminal."""

from collections.abc import Iterator

from rules import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Assessment,
    CaseAssessment,
    HvFlag,
    Origin,
    Reason,
    Risk,
    Rulebook,
)
from triage_app.domain.admission.status import admission_of
from triage_app.domain.case import Case, Finding, Photo
from triage_app.domain.evidence_standing import Standing, Standings
from triage_app.services.ports import CaseSummary

HV_NOTICE = (
    "High voltage: the vehicle maker's procedure comes first, then local codes; licensed and "
    "qualified people only. A disconnected battery still holds its energy."
)
_HV = {
    HvFlag.AT_HV: "AT HIGH VOLTAGE",
    HvFlag.WITHIN_REACH: "within reach of high voltage",
    HvFlag.NONE: "no HV flag by the rules",
}


def printable(text: str) -> str:
    """Return ``text`` as one line that cannot steer a terminal; odd letters are kept."""
    return " ".join(
        "".join(c if c.isprintable() or "\ud800" <= c <= "\udfff" else " " for c in text).split()
    )


def hv_reason_lines(assessment: Assessment) -> Iterator[str]:
    """Yield why a finding carries its HV flag, each reason once, a shop's rule with its id."""
    for because in dict.fromkeys(map(_because, assessment.hv_reasons)):
        yield f"  HV because: {because}"


def _because(reason: Reason) -> str:
    shop = f" (the shop's own rule {reason.rule_id})" if reason.origin is Origin.SHOP else ""
    return f"{reason.because}{shop}"


def summary_line(summary: CaseSummary) -> str:
    """Return a case as one line of a list."""
    parts = [
        summary.reference,
        summary.vehicle or "no vehicle named",
        f"{summary.photo_count} photos",
        f"{summary.finding_count} findings, {summary.hv_flagged_count} HV flagged",
        _risk(summary.risk),
    ]
    return " | ".join(" ".join(part.split()) for part in parts)


def case_lines(case: Case, assessment: CaseAssessment, rulebook: Rulebook) -> Iterator[str]:
    """Yield a case with its photos and findings, the HV notice first where it is flagged."""
    yield from _notices(case, assessment)
    vehicle = f", {case.vehicle.description}" if case.vehicle.description else ""
    rest = assessment.residual_risk
    remains = f" ({_risk(rest)} after accepted records)" if rest is not None else ""
    yield f"Case {case.reference}{vehicle}: {_risk(assessment.risk)}{remains}."
    yield from [f"Not met on the car as a whole: {test}" for test in assessment.failed_on_car]
    for position, photo in enumerate(case.photos, start=1):
        yield f"Photo {position}: {_photo(photo)}"
    for finding in case.findings:
        if finding.is_open:
            yield finding_line(finding, assessment.of(finding.id), rulebook)
        elif finding.withdrawn:
            yield f"Finding {finding.number}: withdrawn because: {finding.withdrawn.reason}"
    if case.evidence:
        standings = Standings(case)
        waiting = sum(standings.of(record) is Standing.WAITING for record in case.evidence)
        yield (
            f"{len(case.evidence)} records of evidence, {waiting} waiting for acceptance. "
            f"See: underbody evidence {case.reference}"
        )


def _notices(case: Case, assessment: CaseAssessment) -> Iterator[str]:
    if assessment.hv_flag is not HvFlag.NONE:
        yield HV_NOTICE
    if admission_of(case).is_held:
        yield f"HELD OUTSIDE, UNLIFTED. See: underbody admission {case.reference}"
    for stop in assessment.stop_conditions:
        yield f"STOP: {stop.because}"


def finding_line(finding: Finding, assessment: Assessment, rulebook: Rulebook) -> str:
    """Return a finding and what the rules say of it as one line."""
    component = finding.tags.component or UNIDENTIFIED_COMPONENT
    damage = finding.tags.damage or UNIDENTIFIED_DAMAGE
    # A word of an earlier rule book may be gone from this one: then the id has to do.
    known_component = rulebook.components.get(component)
    known_damage = rulebook.damage_types.get(damage)
    part = known_component.label if known_component else component
    what = known_damage.label if known_damage else damage
    marks = f"{len(finding.marks)} mark{'s' if len(finding.marks) != 1 else ''}"
    rest = assessment.residual
    remains = f" ({_risk(rest.risk)} after accepted records)" if rest else ""
    return (
        f"Finding {finding.number}: {part}, {what}, {marks}: "
        f"{_risk(assessment.risk)}{remains}, {_HV[assessment.hv_flag]}."
    )


def _photo(photo: Photo) -> str:
    line = f"{photo.id} {photo.file_name}, {photo.width_px} x {photo.height_px}"
    return " ".join([line + ".", *photo.quality.complaints])


def _risk(risk: Risk | None) -> str:
    if risk is Risk.ELIMINATED:
        return "risk eliminated"
    return "not assessed" if risk is None else f"{risk.name.lower()} risk"
