"""The commands at the gate: answer a sign, decide about a car that is held.

An answer stands in the incident, where the rules read it; the entry says who gave it and when.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.admission.entries import (
    AdmissionEntry,
    HoldCause,
    HoldDecided,
    SignAnswered,
    Verdict,
)
from triage_app.domain.admission.status import admission_of
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.ids import AdmissionId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer, Incident


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSign:
    """Answer one warning sign in one's own name. The same answer once more is a new look."""

    kind: ClassVar[str] = "sign answered"
    entry_id: AdmissionId
    what: SignAnswered

    def apply(self, case: Case, signed: Signed) -> Case:
        if _is_known(case, self.entry_id):
            return case
        incident = replace(case.incident, **{self.what.sign: self.what.answer})  # type: ignore[arg-type]  # a sign only
        return _with(replace(case, incident=incident), self.entry_id, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecideAdmission:
    """Decide about a car that is held; ``what.seen`` are the answers that were looked at.

    Raises StaleCaseError where an answer that holds the car came since: nobody decides about what
    they have not seen. InvalidInputError where nothing holds it.
    """

    kind: ClassVar[str] = "admission decided"
    entry_id: AdmissionId
    what: HoldDecided

    def apply(self, case: Case, signed: Signed) -> Case:
        if _is_known(case, self.entry_id):
            return case
        status = admission_of(case)
        if self.what.verdict is Verdict.ADMITTED:
            unseen = [cause for cause in status.causes if cause not in self.what.seen]
            if unseen:
                raise StaleCaseError(
                    f"An answer came after you looked: {_told(unseen)}. Look at it, then decide; "
                    "nothing was stored."
                )
            if not (status.is_held or status.causes):
                raise InvalidInputError("Nothing holds this car, so there is nothing to decide.")
        seen = tuple(cause for cause in status.causes if cause in self.what.seen)
        return _with(case, self.entry_id, replace(self.what, seen=seen), signed)


AdmissionCommand = AnswerSign | DecideAdmission


def with_answers(case: Case, incident: Incident, signed: Signed) -> Case:
    """Return the case with this incident; whoever changes a sign in it stands for the answer."""
    changed = replace(case, incident=incident)
    for sign, answer in _changed_signs(case.incident, incident):
        entry_id = AdmissionId(f"S{len(changed.admission) + 1}-{sign}")
        changed = _with(changed, entry_id, SignAnswered(sign=sign, answer=answer), signed)
    return changed


def _changed_signs(before: Incident, after: Incident) -> Iterator[tuple[str, Answer]]:
    for sign in SIGNS:
        answer: Answer = getattr(after, sign)
        if answer is not getattr(before, sign):
            yield sign, answer


def _with(
    case: Case, entry_id: AdmissionId, what: SignAnswered | HoldDecided, signed: Signed
) -> Case:
    entry = AdmissionEntry(id=entry_id, number=len(case.admission) + 1, what=what, recorded=signed)
    return replace(case, admission=(*case.admission, entry))


def _is_known(case: Case, entry_id: AdmissionId) -> bool:
    return any(entry.id == entry_id for entry in case.admission)


def _told(causes: list[HoldCause]) -> str:
    return ", ".join(f"{one.sign.replace('_', ' ')}: {one.answer.value}" for one in causes)
