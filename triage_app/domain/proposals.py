"""What a person says of a proposed orange area. It is an opinion: it never clears a flag.

An area that somebody takes for something else still counts as near for every mark; the opinion
is there for the reviewer, who sees who gave it and why.
"""

from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_text


class Opinion(StrEnum):
    """What somebody takes a proposed area for."""

    CABLE = "cable"
    NO_CABLE = "no cable"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrangeOpinion:
    """One opinion about one area; ``area`` is its place in ``Photo.orange_areas``, from 0.

    Opinions are only ever added; the last one about an area is the one that is shown first.
    """

    area: int
    opinion: Opinion
    reason: str
    signed: Signed

    def __post_init__(self) -> None:
        reason = checked_text(self.reason, "The reason")
        if not reason:
            raise InvalidInputError("Say why; the reason goes on record with your name.")
        object.__setattr__(self, "reason", reason)
