"""What a record of evidence is worth on the case as it stands now, and what of it the rules get.

Only what another person accepted ever counts. What could lower an answer stops counting as soon
as there is a doubt about it: the finding changed since, or a retest or a worse result of the same
test waits to be decided on. What raises an answer counts until a retest of it is accepted, or a
named person withdraws it with a reason.
"""

from collections.abc import Iterator
from enum import StrEnum

from rules import Evidence
from triage_app.domain.case import Case, Finding
from triage_app.domain.evidence import EvidenceRecord, Verdict
from triage_app.domain.ids import EvidenceId, FindingId


class Standing(StrEnum):
    """Where a record stands. Only COUNTS reaches the rules."""

    WAITING = "waiting for another person to accept it"
    COUNTS = "accepted"
    NOT_CURRENT = "not current: the finding was changed since"
    ON_HOLD = "on hold until a later or worse result is decided on"
    SUPERSEDED = "superseded by a retest"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


def standing_of(case: Case, record: EvidenceRecord) -> Standing:
    """Return where ``record`` stands on the case as it is now."""
    for verdict, standing in (
        (Verdict.WITHDRAWN, Standing.WITHDRAWN),
        (Verdict.DECLINED, Standing.DECLINED),
    ):
        if record.decided(verdict):
            return standing
    if record.id in _superseded(case):
        return Standing.SUPERSEDED
    if record.entry.is_favourable:
        if _is_outdated(case, record):
            return Standing.NOT_CURRENT
        if record.is_accepted and _is_contested(case, record):
            return Standing.ON_HOLD
    return Standing.COUNTS if record.is_accepted else Standing.WAITING


def counted_evidence(case: Case) -> tuple[Evidence, ...]:
    """Return what the rules are given: accepted, current records, and nothing else."""
    return tuple(
        one
        for record in case.evidence
        if standing_of(case, record) is Standing.COUNTS
        for one in as_evidence(case, record)
    )


def as_evidence(case: Case, record: EvidenceRecord) -> Iterator[Evidence]:
    """Yield a record as the rules take it, whether or not it counts.

    A good result for the whole car says nothing of damage that its author had not seen. Where
    there is such damage the record is given finding by finding, for the others only.
    """
    changed = {finding.id for finding in changed_findings(case, record)}
    if record.finding_id is not None or not record.entry.is_favourable or not changed:
        yield _evidence(record, record.id, record.finding_id)
        return
    for finding in case.open_findings:
        if finding.id not in changed:
            yield _evidence(record, f"{record.id}@{finding.id}", finding.id)


def changed_findings(case: Case, record: EvidenceRecord) -> tuple[Finding, ...]:
    """Return the findings, of those the record is about, that its author saw otherwise or not."""
    seen = {one.finding_id: one.revision for one in record.seen}
    about = case.open_findings
    if record.finding_id is not None:
        about = tuple(finding for finding in about if finding.id == record.finding_id)
    return tuple(finding for finding in about if seen.get(finding.id) != finding.revision)


def _is_outdated(case: Case, record: EvidenceRecord) -> bool:
    """Tell whether nothing is left, as its author saw it, of what the record is about."""
    if record.finding_id is not None:
        finding = case.find_finding(record.finding_id)
        if finding is None or not finding.is_open:
            return True
    changed = changed_findings(case, record)
    return bool(changed) and (
        record.finding_id is not None or len(changed) == len(case.open_findings)
    )


def _is_contested(case: Case, record: EvidenceRecord) -> bool:
    superseded = _superseded(case)
    return any(
        other.is_waiting
        and other.id not in superseded
        and (
            record.id in _replaced_by(case, other)
            or (not other.entry.is_favourable and _is_on_the_same(record, other))
        )
        for other in case.evidence
    )


def _is_on_the_same(one: EvidenceRecord, other: EvidenceRecord) -> bool:
    same_test = (one.entry.kind, one.entry.test) == (other.entry.kind, other.entry.test)
    scopes: set[FindingId | None] = {one.finding_id, other.finding_id}
    return same_test and (None in scopes or len(scopes) == 1)


def _superseded(case: Case) -> set[EvidenceId]:
    return {
        old for record in case.evidence if record.is_accepted for old in _replaced_by(case, record)
    }


def _replaced_by(case: Case, record: EvidenceRecord) -> set[EvidenceId]:
    """Return every record that this one takes the place of, directly or in several steps."""
    by_id = {one.id: one for one in case.evidence}
    found: set[EvidenceId] = set()
    earlier = record.replaces
    while earlier is not None and earlier not in found:
        found.add(earlier)
        earlier = by_id[earlier].replaces if earlier in by_id else None
    return found


def _evidence(record: EvidenceRecord, evidence_id: str, finding_id: FindingId | None) -> Evidence:
    said = record.entry.instruction
    return Evidence(
        id=evidence_id,
        kind=record.entry.kind,
        finding_id=finding_id,
        test=record.entry.test,
        outcome=record.entry.outcome,
        has_criterion=record.entry.criterion is not None,
        instruction=said.disposition if said else None,
    )
