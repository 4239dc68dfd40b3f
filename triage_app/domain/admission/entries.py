"""What is written down before a car comes indoors or onto the lift. Nothing is edited."""

from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import AdmissionId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer, checked_text


@dataclass(frozen=True, slots=True, kw_only=True)
class SignAnswered:
    """One named person's answer to one warning sign. ``note`` says what was seen or heard."""

    sign: str
    answer: Answer
    note: str = ""

    def __post_init__(self) -> None:
        if self.sign not in SIGNS:
            raise InvalidInputError(
                f"There is no warning sign '{self.sign}'; the signs are {', '.join(SIGNS)}."
            )
        object.__setattr__(self, "note", checked_text(self.note, "The note"))


class Verdict(StrEnum):
    """What a senior technician decides about a car with signs. Neither says what it is like."""

    ADMITTED = "admitted"
    KEPT_OUTSIDE = "kept outside"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldCause:
    """One answer that holds a car outside.

    ``answered_in`` is the id of the entry that says so, in the admission or in the temperature
    watch; None where nobody put their name to an answer.
    """

    sign: str
    answer: Answer
    answered_in: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldDecided:
    """The decision about a car that is held. It covers the answers in ``seen`` and no other."""

    verdict: Verdict
    reason: str
    seen: tuple[HoldCause, ...]

    def __post_init__(self) -> None:
        reason = checked_text(self.reason, "The reason")
        if not reason:
            raise InvalidInputError("Give the reason; it goes on record with your name.")
        object.__setattr__(self, "reason", reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class AdmissionEntry:
    """One entry: an answer or a decision, by whom and when."""

    id: AdmissionId
    number: int
    what: SignAnswered | HoldDecided
    recorded: Signed
