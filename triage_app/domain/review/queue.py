"""The review queue: every finding with an HV flag, and what a named reviewer has said of it.

Worked out anew on every read. A signature counts only while exactly what was signed is there; the
rules' own answer always stands beside the reviewer's and is never overwritten.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from rules import Assessment, CaseAssessment, HvFlag, Risk, Rulebook
from rules.case_outcome import signs_risk
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import FindingId, Sha256
from triage_app.domain.review.changes import changes_since
from triage_app.domain.review.content import content_of
from triage_app.domain.review.entries import Review, ReviewVerdict, sha256_of_content
from triage_app.domain.review.lowering import why_not_lowered


class ReviewState(StrEnum):
    """Where a finding stands in the review."""

    WAITING = "waiting for review"
    SIGNED = "reviewed and signed"
    UNSIGNED = "changed since it was signed"
    NOT_ASKED = "no review asked for"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingReview:
    """One finding: the rules' answer, and the reviewer's beside it.

    ``signed`` is the last signature while it counts, ``outdated`` while it does not, with
    ``changes`` saying why. ``content`` is what would be signed now. ``cannot_lower`` is why nobody
    may lower it, or empty.
    """

    finding: Finding
    answer: Assessment
    content: str
    reviews: tuple[Review, ...] = ()
    signed: Review | None = None
    outdated: Review | None = None
    changes: tuple[str, ...] = ()
    cannot_lower: str = ""

    @property
    def sha256(self) -> Sha256:
        """The hash of what would be signed now."""
        return sha256_of_content(self.content)

    @property
    def hv_flag(self) -> HvFlag:
        """The reviewer's flag while it counts, else the rules', not below what was confirmed."""
        if self.signed is not None:
            return self.signed.given.hv_flag
        held = self._still_held()
        return max(self.answer.hv_flag, held.given.hv_flag) if held else self.answer.hv_flag

    @property
    def risk(self) -> Risk:
        """The reviewer's risk while it counts, else the rules', not below what was confirmed."""
        if self.signed is not None:
            return self.signed.given.risk
        held = self._still_held()
        return max(self.answer.risk, held.given.risk) if held else self.answer.risk

    @property
    def is_lowered(self) -> bool:
        """True where a reviewer's answer counts that is milder than the rules'."""
        return self.hv_flag < self.answer.hv_flag or self.risk < self.answer.risk

    @property
    def is_one_by_one(self) -> bool:
        """True where it needs a signature of its own: at HV, by the rules or by a reviewer.

        A finding that was escalated, or confirmed there, and changed since, goes the same way.
        """
        held = self._still_held()
        was_raised = held is not None and held.given.verdict is ReviewVerdict.ESCALATED
        is_raised = was_raised or self.hv_flag is HvFlag.AT_HV
        return self.answer.hv_flag is HvFlag.AT_HV or is_raised

    @property
    def is_flagged(self) -> bool:
        return self.answer.hv_flag is not HvFlag.NONE or self.hv_flag is not HvFlag.NONE

    @property
    def state(self) -> ReviewState:
        if self.signed is not None:
            return ReviewState.SIGNED
        if self.outdated is not None:
            return ReviewState.UNSIGNED
        return ReviewState.WAITING if self.is_flagged else ReviewState.NOT_ASKED

    @property
    def is_waiting(self) -> bool:
        """True while it keeps the queue from being empty."""
        return self.state is ReviewState.WAITING or (
            self.state is ReviewState.UNSIGNED and (self.is_flagged or self.is_one_by_one)
        )

    def _still_held(self) -> Review | None:
        # A change takes a signature away; it must not by that take back what a reviewer saw there.
        verdict = self.outdated.given.verdict if self.outdated else None
        return self.outdated if verdict in _HELD else None


_HELD = (ReviewVerdict.ESCALATED, ReviewVerdict.CONFIRMED)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewQueue:
    """Every finding that counts, the highest risk first, and the case's flag and risk.

    ``hv_flag`` and ``risk`` are the reviewers' where these count, and never milder than what the
    warning signs of the car say; ``risk`` None is not assessed.
    """

    items: tuple[FindingReview, ...]
    hv_flag: HvFlag
    risk: Risk | None

    @property
    def one_by_one(self) -> tuple[FindingReview, ...]:
        """The findings at HV; each needs a signature of its own."""
        return tuple(item for item in self.items if item.is_one_by_one)

    @property
    def group(self) -> tuple[FindingReview, ...]:
        """The findings within reach of HV, acknowledged together in one step.

        Signing each of them would wear out the attention that those at HV need; one signature over
        the named list still says that a qualified person has looked.
        """
        return tuple(item for item in self.items if item.is_flagged and not item.is_one_by_one)

    @property
    def waiting(self) -> tuple[FindingReview, ...]:
        """What keeps the queue from being empty, in the order in which it is to be looked at."""
        first = [item for item in self.one_by_one if item.is_waiting]
        return (*first, *(item for item in self.group if item.is_waiting))

    def of(self, finding_id: FindingId) -> FindingReview | None:
        """Return where one finding stands, or None when it does not count or is not there."""
        return next((item for item in self.items if item.finding.id == finding_id), None)


def queue_of(case: Case, answer: CaseAssessment, book: Rulebook) -> ReviewQueue:
    """Return the queue of ``case``; ``answer`` is what the rules say of this very case."""
    by_finding: defaultdict[FindingId, list[Review]] = defaultdict(list)
    for review in case.reviews:
        by_finding[review.given.finding_id].append(review)
    items = [
        _item(case, finding, answer.of(finding.id), tuple(by_finding[finding.id]), book)
        for finding in case.open_findings
    ]
    items.sort(key=_worst_first)
    return ReviewQueue(
        items=tuple(items), hv_flag=_flag(answer, items), risk=_risk(answer, items, book)
    )


def _item(
    case: Case, finding: Finding, answer: Assessment, reviews: tuple[Review, ...], book: Rulebook
) -> FindingReview:
    content = content_of(case, finding, answer, book.stamp)
    signatures = [review for review in reviews if review.given.is_signature]
    last = signatures[-1] if signatures else None
    cannot_lower = why_not_lowered(finding, answer, book)
    # One that does not fit was never made by this program: such a text came from outside.
    counts = last is not None and last.given.content == content and _fits(last, answer)
    if last is not None and cannot_lower and _is_milder(last, answer):
        counts = False
    return FindingReview(
        finding=finding,
        answer=answer,
        content=content,
        reviews=reviews,
        signed=last if counts else None,
        outdated=None if counts else last,
        changes=() if counts or last is None else _why_not(last, content),
        cannot_lower=cannot_lower,
    )


def _why_not(last: Review, content: str) -> tuple[str, ...]:
    why = "what was signed does not fit what the rules say of this finding"
    return changes_since(last.given.content, content) or (why,)


def _fits(review: Review, answer: Assessment) -> bool:
    """Tell whether the levels of a signature are such as its verdict allows."""
    given = review.given
    signed, said = (given.hv_flag, given.risk), (answer.hv_flag, answer.risk)
    match given.verdict:
        case ReviewVerdict.ESCALATED:
            return given.hv_flag >= answer.hv_flag and given.risk >= answer.risk
        case ReviewVerdict.LOWERED:
            is_eliminated = given.risk is Risk.ELIMINATED and answer.risk is not Risk.ELIMINATED
            is_raised = given.hv_flag > answer.hv_flag or given.risk > answer.risk
            return not is_eliminated and not is_raised
        case ReviewVerdict.ACKNOWLEDGED:
            return signed == said and answer.hv_flag is not HvFlag.AT_HV
        case _:
            return signed == said


def _is_milder(review: Review, answer: Assessment) -> bool:
    return review.given.hv_flag < answer.hv_flag or review.given.risk < answer.risk


def _worst_first(item: FindingReview) -> tuple[int, int, int, str, int]:
    return (
        -item.risk,
        -item.hv_flag,
        item.answer.consequence,
        item.answer.likelihood,
        item.finding.number,
    )


def _flag(answer: CaseAssessment, items: Iterable[FindingReview]) -> HvFlag:
    """Return the flag of the case; one that no finding gave came with a warning sign, and stays."""
    of_findings = max((one.hv_flag for one in answer.findings), default=HvFlag.NONE)
    of_signs = answer.hv_flag if answer.hv_flag > of_findings else HvFlag.NONE
    return max((of_signs, *(item.hv_flag for item in items)))


def _risk(answer: CaseAssessment, items: Iterable[FindingReview], book: Rulebook) -> Risk | None:
    if answer.risk is None:
        return None
    return max((signs_risk(answer, book), *(item.risk for item in items)))
