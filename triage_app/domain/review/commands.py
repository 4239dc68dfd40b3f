"""The commands of the review. What may be signed at all is checked by ``services.review``."""

from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.case import Case, Tags
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.ids import FindingId
from triage_app.domain.review.entries import GivenReview, Review
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class SignReviews:
    """Put one verdict, or the acknowledgement of several findings, on record."""

    kind: ClassVar[str] = "findings reviewed"
    given: tuple[GivenReview, ...]

    def apply(self, case: Case, signed: Signed) -> Case:
        if not self.given:
            raise InvalidInputError("There is nothing to sign.")
        for given in self.given:
            if not case.finding(given.finding_id).is_open:
                number = case.finding(given.finding_id).number
                raise StaleCaseError(f"Finding {number} does not count any more; look again.")
        return with_reviews(case, self.given, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectFinding:
    """Change, as a reviewer, what a finding is said to be where its HV flag falls by that.

    ``given`` keeps the reason and what the finding was before.
    """

    kind: ClassVar[str] = "finding corrected by a reviewer"
    finding_id: FindingId
    tags: Tags
    expected_revision: int
    given: GivenReview

    def apply(self, case: Case, signed: Signed) -> Case:
        finding = case.finding(self.finding_id)
        if finding.tags == self.tags:
            return case
        if not finding.is_open:
            raise InvalidInputError(f"Finding {finding.number} is withdrawn; restore it first.")
        if self.tags == Tags():
            raise InvalidInputError(f"Finding {finding.number} was named and keeps a name.")
        if finding.revision != self.expected_revision:
            raise StaleCaseError(
                f"Somebody else changed finding {finding.number} first. Look at it again before "
                "you correct it."
            )
        corrected = replace(finding, tags=self.tags, revision=finding.revision + 1)
        return with_reviews(case.with_finding(corrected), (self.given,), signed)


ReviewCommand = SignReviews | CorrectFinding


def with_reviews(case: Case, given: tuple[GivenReview, ...], signed: Signed) -> Case:
    """Return the case with these on record, those left out that are there already."""
    known = {review.id for review in case.reviews}
    new = tuple(Review(id=one.id, given=one, signed=signed) for one in given if one.id not in known)
    return replace(case, reviews=(*case.reviews, *new)) if new else case
