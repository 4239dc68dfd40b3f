"""Put on record what was found out later, and accept, decline or withdraw it.

A record counts only once another named person has accepted it, and only while the finding is as
its author saw it; see ``domain.evidence_standing`` for what each record is worth at the moment.
"""

import logging

from rules import Rulebook
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand, checked_reason
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import EvidenceEntry, SeenCar
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
    seen_in,
)
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed, is_same_person
from triage_app.services.known_words import check_test
from triage_app.services.permission import needs, require
from triage_app.services.ports import CaseStore, Check, Clock, NewId

_log = logging.getLogger(__name__)


class EvidenceRecords:
    def __init__(
        self, *, cases: CaseStore, clock: Clock, new_id: NewId, rulebook: Rulebook
    ) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._rulebook = rulebook

    @needs(Action.RECORD_EVIDENCE)
    def record(
        self,
        seen: Case,
        entry: EvidenceEntry,
        *,
        by: Operator,
        finding_id: FindingId | None = None,
        replaces: EvidenceId | None = None,
        record_id: EvidenceId | None = None,
    ) -> Case:
        """Put a test result, a part replaced or an instruction of the maker on record.

        ``seen`` is the case as ``by`` had it before them: the record is bound to the revision of
        the finding there, or without ``finding_id`` (the whole car; tests only) to all of them.
        A finding or car that changed since loses nothing: the record is kept, and is not current.
        ``replaces`` names the record that this retest is to supersede once it is accepted.
        Raises InvalidInputError, NotFoundError.
        """
        self.check(entry)
        command = RecordEvidence(
            record_id=EvidenceId(checked_id(record_id or self._new_id())),
            finding_id=finding_id,
            seen=seen_in(seen, finding_id),
            seen_car=SeenCar.of(seen.vehicle),
            entry=entry,
            replaces=replaces,
        )
        return self._apply(seen.id, command, by)

    def check(self, entry: EvidenceEntry, *, to_accept: bool = False) -> None:
        """Raise InvalidInputError for what recording, or accepting, this now would be refused."""
        check_test(entry.test, self._rulebook)
        fault = entry.instrument_fault(self._clock().date()) if to_accept else ""
        if fault:
            raise InvalidInputError(f"It cannot be accepted as met: {fault}.")

    @needs(Action.ACCEPT_EVIDENCE)
    def accept(self, case_id: CaseId, record_id: EvidenceId, *, by: Operator) -> Case:
        """Let a record count. Accepting what is accepted already changes nothing.

        Raises NotAllowedError where ``by`` recorded it, StaleCaseError where the finding was
        changed since, InvalidInputError where it was declined, withdrawn or superseded, or where a
        value was measured with an instrument that is not named or not known to be calibrated.
        """
        return self._apply(case_id, AcceptEvidence(record_id=record_id), by)

    @needs(Action.ACCEPT_EVIDENCE)
    def decline(self, case_id: CaseId, record_id: EvidenceId, *, reason: str, by: Operator) -> Case:
        """Say why a record may not count; it stays on record.

        Raises NotAllowedError where ``by`` recorded it, InvalidInputError where it was decided on.
        """
        command = DeclineEvidence(record_id=record_id, reason=checked_reason(reason))
        return self._apply(case_id, command, by)

    @needs(Action.RECORD_EVIDENCE)
    def withdraw(
        self, case_id: CaseId, record_id: EvidenceId, *, reason: str, by: Operator
    ) -> Case:
        """Take a record out of use, accepted or not; it stays on record with the reason.

        What raises an answer is withdrawn by whoever may accept, or by its author while it waits:
        raises NotAllowedError.
        """
        command = WithdrawEvidence(record_id=record_id, reason=checked_reason(reason))

        def refuse(before: Case, _after: Case) -> None:
            record = before.evidence_record(record_id)
            is_own = record.is_waiting and is_same_person(record.recorded.by, by.name)
            if not (record.entry.is_favourable or is_own):
                require(by, Action.ACCEPT_EVIDENCE)

        return self._apply(case_id, command, by, refuse)

    def _apply(
        self, case_id: CaseId, command: AnyCommand, by: Operator, check: Check | None = None
    ) -> Case:
        signed = Signed(by=by.name, at=self._clock())
        applied = self._cases.apply(case_id, command, signed, check=check)
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after
