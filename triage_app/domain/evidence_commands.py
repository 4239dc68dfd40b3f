"""The commands on records of evidence: record, accept, decline, withdraw. Nothing is ever edited.

Like every command (see ``domain.commands``) they are applied to the freshly loaded case, and a
repeat is harmless. Two people who record at once both keep what they recorded.
"""

from dataclasses import dataclass, replace
from typing import ClassVar

from rules import EvidenceKind
from triage_app.domain.case import Case
from triage_app.domain.errors import (
    InvalidInputError,
    NotAllowedError,
    StaleCaseError,
)
from triage_app.domain.evidence import (
    Decision,
    EvidenceEntry,
    EvidenceRecord,
    SeenCar,
    SeenFinding,
    Verdict,
)
from triage_app.domain.evidence_standing import Standing, standing_of
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed, is_same_person


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordEvidence:
    """Put a test result, a part replaced or an instruction of the maker on record.

    ``seen`` is what the author had before them: the finding, or for the whole car (``finding_id``
    None) every open finding, each at its revision; ``seen_car`` is the car. What changed since
    makes the record not current, and never loses it. ``replaces`` names the record that this
    retest is to supersede.
    """

    kind: ClassVar[str] = "evidence recorded"
    record_id: EvidenceId
    finding_id: FindingId | None
    seen: tuple[SeenFinding, ...]
    seen_car: SeenCar
    entry: EvidenceEntry
    replaces: EvidenceId | None = None

    def apply(self, case: Case, signed: Signed) -> Case:
        if any(record.id == self.record_id for record in case.evidence):
            return case
        self._check_scope(case)
        record = EvidenceRecord(
            id=self.record_id,
            number=case.next_evidence_number,
            finding_id=self.finding_id,
            seen=self.seen,
            seen_car=self.seen_car,
            entry=self.entry,
            replaces=self.replaces,
            recorded=signed,
        )
        if record.replaces is not None:
            _check_replaced(record, case.evidence_record(record.replaces))
        return case.with_evidence(record)

    def _check_scope(self, case: Case) -> None:
        for one in self.seen:
            if one.revision > case.finding(one.finding_id).revision:
                raise InvalidInputError("Nobody can have seen a finding before it was so.")
        if self.finding_id is None:
            if self.entry.kind is not EvidenceKind.TEST_RESULT:
                raise InvalidInputError(
                    "Only a test can be about the whole car; say which finding this is about."
                )
            return
        finding = case.finding(self.finding_id)
        if finding.withdrawn:
            raise InvalidInputError(f"Finding {finding.number} is withdrawn; restore it first.")
        if [one.finding_id for one in self.seen] != [self.finding_id]:
            raise InvalidInputError("A record about one finding is bound to that finding only.")


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptEvidence:
    """Say as another named person that a record may count."""

    kind: ClassVar[str] = "evidence accepted"
    record_id: EvidenceId

    def apply(self, case: Case, signed: Signed) -> Case:
        record = case.evidence_record(self.record_id)
        if record.is_accepted:
            return case
        _refuse_decided(record)
        _refuse_own(record, signed, "accept")
        _refuse_unfit(case, record)
        return _with(case, record, Decision(verdict=Verdict.ACCEPTED, signed=signed))


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclineEvidence:
    """Say as another named person why a record may not count; it stays on record."""

    kind: ClassVar[str] = "evidence declined"
    record_id: EvidenceId
    reason: str

    def apply(self, case: Case, signed: Signed) -> Case:
        record = case.evidence_record(self.record_id)
        if record.decided(Verdict.DECLINED):
            return case
        _refuse_decided(record)
        _refuse_own(record, signed, "decline")
        decision = Decision(verdict=Verdict.DECLINED, reason=self.reason, signed=signed)
        return _with(case, record, decision)


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawEvidence:
    """Take a record out of use with a reason, accepted or not; it stays on record."""

    kind: ClassVar[str] = "evidence withdrawn"
    record_id: EvidenceId
    reason: str

    def apply(self, case: Case, signed: Signed) -> Case:
        record = case.evidence_record(self.record_id)
        if record.decided(Verdict.WITHDRAWN):
            return case
        decision = Decision(verdict=Verdict.WITHDRAWN, reason=self.reason, signed=signed)
        return _with(case, record, decision)


def seen_in(case: Case, finding_id: FindingId | None) -> tuple[SeenFinding, ...]:
    """Return what somebody who looks at ``case`` sees of a finding, or of the whole car."""
    about = case.open_findings if finding_id is None else (case.finding(finding_id),)
    return tuple(SeenFinding(finding_id=one.id, revision=one.revision) for one in about)


def _with(case: Case, record: EvidenceRecord, decision: Decision) -> Case:
    return case.with_evidence(replace(record, decisions=(*record.decisions, decision)))


def _check_replaced(record: EvidenceRecord, old: EvidenceRecord) -> None:
    if not record.repeats(old):
        raise InvalidInputError(
            f"A retest repeats the same test of the same finding; record {old.number} is about "
            "another."
        )


def _refuse_decided(record: EvidenceRecord) -> None:
    if record.decisions:
        last = record.decisions[-1]
        why = f" because: {last.reason}" if last.reason else ""
        raise InvalidInputError(
            f"Record {record.number} was {last.verdict} by {last.signed.by}{why.rstrip('.')}. "
            f"{_WHAT_NEXT[last.verdict]}"
        )


_WHAT_NEXT = {
    Verdict.ACCEPTED: "Withdraw it with a reason if it is wrong.",
    Verdict.DECLINED: "Record the test again if it is still needed.",
    Verdict.WITHDRAWN: "Record the test again if it is still needed.",
}


def _refuse_own(record: EvidenceRecord, signed: Signed, verb: str) -> None:
    if is_same_person(record.recorded.by, signed.by):
        raise NotAllowedError(
            f"{record.recorded.by} put record {record.number} on record; another named person has "
            f"to {verb} it."
        )


def _refuse_unfit(case: Case, record: EvidenceRecord) -> None:
    standing = standing_of(case, record)
    if standing is Standing.SUPERSEDED:
        raise InvalidInputError(
            f"Record {record.number} is superseded: a retest of it was accepted."
        )
    if standing is Standing.NOT_CURRENT:
        raise StaleCaseError(
            f"What record {record.number} is about, or the car's voltage or kind of drive, was "
            "changed since. Look again and record the result for what is there now."
        )
    fault = record.entry.instrument_fault(record.recorded.at.date())
    if fault:
        raise InvalidInputError(
            f"Record {record.number} cannot be accepted as met: {fault}. Repeat the test with an "
            "instrument whose calibration is known and has not run out."
        )
