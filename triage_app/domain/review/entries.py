"""What a reviewer puts on record. Nothing is edited: the last entry about a finding counts."""

import hashlib
from dataclasses import dataclass
from enum import StrEnum

from rules import HvFlag, Risk
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import FindingId, ReviewId, Sha256
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_text


class ReviewVerdict(StrEnum):
    """What a reviewer says. ACKNOWLEDGED is for findings within reach, several at once.

    CORRECTED is no signature: a reviewer changed what a finding was said to be, and its flag fell.
    """

    CONFIRMED = "confirmed"
    ESCALATED = "escalated"
    LOWERED = "lowered"
    ACKNOWLEDGED = "acknowledged"
    CORRECTED = "corrected"


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenReview:
    """A verdict with the reviewer's own answer, both levels always stated, and what was signed.

    ``content`` is the canonical text of exactly what lay before the reviewer (see
    ``review.content``); a signature is bound to its SHA-256. Escalating, lowering and correcting
    need a reason.
    """

    id: ReviewId
    finding_id: FindingId
    verdict: ReviewVerdict
    hv_flag: HvFlag
    risk: Risk
    reason: str = ""
    content: str

    def __post_init__(self) -> None:
        reason = checked_text(self.reason, "The reason")
        object.__setattr__(self, "reason", reason)
        needs = (ReviewVerdict.ESCALATED, ReviewVerdict.LOWERED, ReviewVerdict.CORRECTED)
        if self.verdict in needs and not reason:
            raise InvalidInputError("Give a reason; it goes on record with your name.")

    @property
    def sha256(self) -> Sha256:
        """The hash of exactly what was signed."""
        return sha256_of_content(self.content)

    @property
    def is_signature(self) -> bool:
        return self.verdict is not ReviewVerdict.CORRECTED


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """A verdict on record: what was given, by whom and when."""

    id: ReviewId
    given: GivenReview
    signed: Signed


def sha256_of_content(content: str) -> Sha256:
    """Return the SHA-256 of a content as UTF-8."""
    return Sha256(hashlib.sha256(content.encode()).hexdigest())
