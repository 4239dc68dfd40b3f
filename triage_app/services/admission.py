"""The gate: answer the warning signs, and decide about a car that is held outside, unlifted."""

import logging

from triage_app.domain.admission.commands import AnswerSign, DecideAdmission
from triage_app.domain.admission.entries import HoldCause, HoldDecided, SignAnswered, Verdict
from triage_app.domain.admission.status import AdmissionStatus, admission_of
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.ids import AdmissionId, CaseId, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.vehicle import Answer
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore, Clock, NewId

_log = logging.getLogger(__name__)


class Admission:
    def __init__(self, *, cases: CaseStore, clock: Clock, new_id: NewId) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id

    def status(self, case: Case) -> AdmissionStatus:
        """Return where this case value stands at the gate; nothing is stored."""
        return admission_of(case)

    @needs(Action.ANSWER_SIGN)
    def answer(
        self,
        case_id: CaseId,
        sign: str,
        answer: Answer,
        *,
        by: Operator,
        note: str = "",
        entry_id: AdmissionId | None = None,
    ) -> Case:
        """Answer one warning sign in the name of ``by``.

        Yes, not known, or no answer at all holds the car; a yes goes on holding it even when it is
        answered with no later. Raises InvalidInputError for a sign that nobody knows.
        """
        command = AnswerSign(
            entry_id=self._entry_id(entry_id),
            what=SignAnswered(sign=sign, answer=answer, note=note),
        )
        return self._apply(case_id, command, by)

    @needs(Action.DECIDE_ADMISSION)
    def decide(
        self,
        case_id: CaseId,
        verdict: Verdict,
        *,
        reason: str,
        seen: tuple[HoldCause, ...],
        by: Operator,
        entry_id: AdmissionId | None = None,
    ) -> Case:
        """Decide as a senior technician about a car that is held, with a reason.

        ``seen`` are the causes as ``by`` had them before them: the decision covers these and no
        other. Raises StaleCaseError where another came since, InvalidInputError without a reason
        or where nothing holds the car.
        """
        command = DecideAdmission(
            entry_id=self._entry_id(entry_id),
            what=HoldDecided(verdict=verdict, reason=reason, seen=seen),
        )
        return self._apply(case_id, command, by)

    def _entry_id(self, given: AdmissionId | None) -> AdmissionId:
        return AdmissionId(checked_id(given or self._new_id()))

    def _apply(self, case_id: CaseId, command: AnyCommand, by: Operator) -> Case:
        applied = self._cases.apply(case_id, command, Signed(by=by.name, at=self._clock()))
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after
