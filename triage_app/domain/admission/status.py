"""Whether a car is held outside, unlifted, and because of which answers.

A sign holds the car where its answer is yes or not known, or where nobody put their name to one.
A yes goes on holding it even where a later answer is no: only a named decision with a reason lifts
a hold, and it covers exactly the answers that it saw.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.admission.entries import (
    AdmissionEntry,
    HoldCause,
    HoldDecided,
    SignAnswered,
    Verdict,
)
from triage_app.domain.case import Case
from triage_app.domain.safing.entries import SafingEntry, TemperatureReading
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer


class AdmissionState(StrEnum):
    """Where a car stands at the gate. None of them says what the car is like."""

    HELD = "held outside, unlifted"
    ADMITTED = "admitted by decision"
    NO_SIGN = "no sign on record"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignStanding:
    """What is on record of one sign.

    ``answered`` is the entry behind ``answer``, or None where nobody put their name to it.
    ``causes`` are all answers about this sign that hold the car, or would without a decision.
    """

    sign: str
    answer: Answer
    answered: AdmissionEntry | None
    causes: tuple[HoldCause, ...]

    @property
    def note(self) -> str:
        what = self.answered.what if self.answered else None
        return what.note if isinstance(what, SignAnswered) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AdmissionStatus:
    """All that can be said at the gate. ``holding`` are the causes that no decision covers.

    ``decision`` is the last one, or None; ``decided`` is what it says, as long as it stands.
    """

    state: AdmissionState
    signs: tuple[SignStanding, ...]
    causes: tuple[HoldCause, ...]
    holding: tuple[HoldCause, ...]
    decision: AdmissionEntry | None

    @property
    def is_held(self) -> bool:
        return self.state is AdmissionState.HELD

    @property
    def decided(self) -> HoldDecided | None:
        """What the last decision says, or None where nobody decided."""
        what = self.decision.what if self.decision else None
        return what if isinstance(what, HoldDecided) else None

    @property
    def unanswered(self) -> tuple[str, ...]:
        """The signs to which nobody put their name yet."""
        return tuple(one.sign for one in self.signs if one.answered is None)


def admission_of(case: Case) -> AdmissionStatus:
    """Return where ``case`` stands at the gate. A case without any answer is held."""
    signs = tuple(_standing(case, sign) for sign in SIGNS)
    causes = tuple(cause for one in signs for cause in one.causes)
    decisions = [entry for entry in case.admission if isinstance(entry.what, HoldDecided)]
    last = decisions[-1] if decisions else None
    decided = last.what if last and isinstance(last.what, HoldDecided) else None
    covered: frozenset[HoldCause] = frozenset()
    if decided is not None and decided.verdict is Verdict.ADMITTED:
        covered = frozenset(decided.seen)
    holding = tuple(cause for cause in causes if cause not in covered)
    return AdmissionStatus(
        state=_state(causes, holding, decided),
        signs=signs,
        causes=causes,
        holding=holding,
        decision=last,
    )


def signer_of(case: Case, cause: HoldCause) -> Signed | None:
    """Return who gave the answer and when, or None where nobody put their name to it."""
    entries: tuple[AdmissionEntry | SafingEntry, ...] = (*case.admission, *case.safing)
    return next((one.recorded for one in entries if one.id == cause.answered_in), None)


def signs_of(case: Case) -> dict[str, bool | None]:
    """Return each sign as the rules take it: what the temperature watch noticed is a yes too.

    A yes that somebody answered with something else later goes on counting, until a named decision
    with a reason has seen both.
    """
    noticed = {sign.value for entry in case.safing for sign in _noticed(entry)}
    stays = noticed | {sign for sign in SIGNS if _is_yes_still(case, sign)}
    return {sign: True if sign in stays else known for sign, known in case.incident.signs.items()}


def _is_yes_still(case: Case, sign: str) -> bool:
    """Tell whether a yes to this sign is on record that no decision saw answered otherwise."""
    open_yes = answered_otherwise = False
    for entry in case.admission:
        match entry.what:
            case SignAnswered(sign=asked, answer=Answer.YES) if asked == sign:
                open_yes, answered_otherwise = True, False
            case SignAnswered(sign=asked, answer=answer) if asked == sign:
                answered_otherwise = answer is Answer.NO
            case HoldDecided(verdict=Verdict.ADMITTED) if answered_otherwise:
                open_yes = False
            case _:
                pass
    return open_yes


def _state(
    causes: tuple[HoldCause, ...], holding: tuple[HoldCause, ...], decided: HoldDecided | None
) -> AdmissionState:
    is_kept = decided is not None and decided.verdict is Verdict.KEPT_OUTSIDE
    if holding or is_kept:
        return AdmissionState.HELD
    return AdmissionState.ADMITTED if causes else AdmissionState.NO_SIGN


def _standing(case: Case, sign: str) -> SignStanding:
    fact: Answer = getattr(case.incident, sign)
    given = [
        (entry, entry.what.answer)
        for entry in case.admission
        if isinstance(entry.what, SignAnswered) and entry.what.sign == sign
    ]
    last = given[-1] if given else None
    # Written down by another way since: then nobody stands for what is written now.
    answered = last[0] if last and last[1] is fact else None
    causes = [
        HoldCause(sign=sign, answer=Answer.YES, answered_in=entry.id)
        for entry, answer in given
        if answer is Answer.YES
    ]
    causes += [
        HoldCause(sign=sign, answer=Answer.YES, answered_in=entry.id)
        for entry in case.safing
        if sign in {seen.value for seen in _noticed(entry)}
    ]
    if answered is None or fact is Answer.UNKNOWN:
        causes.append(
            HoldCause(sign=sign, answer=fact, answered_in=answered.id if answered else None)
        )
    return SignStanding(sign=sign, answer=fact, answered=answered, causes=tuple(causes))


def _noticed(entry: SafingEntry) -> Iterator[StrEnum]:
    if isinstance(entry.what, TemperatureReading):
        yield from entry.what.signs
