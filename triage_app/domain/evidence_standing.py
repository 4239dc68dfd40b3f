"""What a record of evidence is worth on the case as it stands now, and what of it the rules get.

Only what another person accepted ever counts. What could lower an answer stops counting as soon
as there is a doubt about it: the finding changed since, or the voltage or kind of drive of the car,
on which the maker's criterion depends; or a retest or a worse result of the same test waits to be
decided on. What raises an answer counts until a retest of it is accepted, or a
named person withdraws it with a reason.
"""

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum

from rules import Evidence
from triage_app.domain.case import Case, Finding
from triage_app.domain.evidence import EvidenceRecord, SeenCar, Verdict
from triage_app.domain.ids import EvidenceId, FindingId


class Standing(StrEnum):
    """Where a record stands. Only COUNTS reaches the rules."""

    WAITING = "waiting for another person to accept it"
    COUNTS = "accepted"
    NOT_CURRENT = "not current: the finding, or the voltage or kind of drive, was changed since"
    ON_HOLD = "on hold until a later or worse result is decided on"
    SUPERSEDED = "superseded by a retest"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


class Standings:
    """Where the records of one case stand. Made once, it tells of each without a look at all."""

    def __init__(self, case: Case) -> None:
        by_id = {record.id: record for record in case.evidence}
        self._car = SeenCar.of(case.vehicle)
        self._open = {finding.id: finding for finding in case.open_findings}
        self._superseded = {
            old
            for record in case.evidence
            if record.is_accepted
            for old in _replaced_by(by_id, record)
        }
        waiting = [
            record
            for record in case.evidence
            if record.is_waiting and record.id not in self._superseded
        ]
        self._being_repeated = {old for record in waiting for old in _replaced_by(by_id, record)}
        self._doubts = [record for record in waiting if not record.entry.is_favourable]

    def of(self, record: EvidenceRecord) -> Standing:
        """Return where this record of the case stands."""
        if record.decided(Verdict.WITHDRAWN):
            return Standing.WITHDRAWN
        if record.decided(Verdict.DECLINED):
            return Standing.DECLINED
        if record.id in self._superseded:
            return Standing.SUPERSEDED
        if record.entry.is_favourable:
            if self._is_outdated(record):
                return Standing.NOT_CURRENT
            if record.is_accepted and self._is_contested(record):
                return Standing.ON_HOLD
        return Standing.COUNTS if record.is_accepted else Standing.WAITING

    def changed(self, record: EvidenceRecord) -> tuple[Finding, ...]:
        """Return the findings, of those the record is about, that its author saw otherwise."""
        seen = {one.finding_id: one.revision for one in record.seen}
        about: Iterable[Finding] = self._open.values()
        if record.finding_id is not None:
            about = [found for found in (self._open.get(record.finding_id),) if found]
        return tuple(found for found in about if seen.get(found.id) != found.revision)

    def evidence(self, record: EvidenceRecord) -> Iterator[Evidence]:
        """Yield a record as the rules take it.

        A good result for the whole car says nothing of damage that its author had not seen. Where
        there is such damage the record is given finding by finding, for the others only.
        """
        changed = {finding.id for finding in self.changed(record)}
        if record.finding_id is not None or not record.entry.is_favourable or not changed:
            yield _evidence(record, record.id, record.finding_id)
            return
        for finding_id in self._open:
            if finding_id not in changed:
                yield _evidence(record, f"{record.id}@{finding_id}", finding_id)

    def _is_outdated(self, record: EvidenceRecord) -> bool:
        """Tell whether nothing is left, as its author saw it, of what the record is about."""
        if record.seen_car != self._car:
            return True
        changed = self.changed(record)
        if record.finding_id is not None:
            return bool(changed) or record.finding_id not in self._open
        return bool(changed) and len(changed) == len(self._open)

    def _is_contested(self, record: EvidenceRecord) -> bool:
        return record.id in self._being_repeated or any(
            _is_on_the_same(record, doubt) for doubt in self._doubts
        )


def standing_of(case: Case, record: EvidenceRecord) -> Standing:
    """Return where ``record`` stands on the case as it is now."""
    return Standings(case).of(record)


def changed_findings(case: Case, record: EvidenceRecord) -> tuple[Finding, ...]:
    """Return the findings, of those the record is about, that its author saw otherwise or not."""
    return Standings(case).changed(record)


def counted_evidence(case: Case) -> tuple[Evidence, ...]:
    """Return what the rules are given: accepted, current records, and nothing else."""
    standings = Standings(case)
    return tuple(
        one
        for record in case.evidence
        if standings.of(record) is Standing.COUNTS
        for one in standings.evidence(record)
    )


def _is_on_the_same(one: EvidenceRecord, other: EvidenceRecord) -> bool:
    same_test = (one.entry.kind, one.entry.test) == (other.entry.kind, other.entry.test)
    scopes: set[FindingId | None] = {one.finding_id, other.finding_id}
    return same_test and (None in scopes or len(scopes) == 1)


def _replaced_by(
    by_id: Mapping[EvidenceId, EvidenceRecord], record: EvidenceRecord
) -> set[EvidenceId]:
    """Return every record that this one takes the place of, directly or in several steps."""
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
