"""Review findings: confirm, escalate, lower, acknowledge. Each is a signature over what was seen.

A signature is bound to the hash of exactly what lay before the reviewer. What moved while they
looked is refused as stale; what moves afterwards takes the signature away (``domain.review``).
"""

import logging
from collections.abc import Mapping
from dataclasses import dataclass

from rules import HvFlag, Risk, Rulebook, assess
from triage_app.domain.case import Case, Tags
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StaleCaseError
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId, FindingId, ReviewId, Sha256, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.review.commands import CorrectFinding, ReviewCommand, SignReviews
from triage_app.domain.review.entries import GivenReview, ReviewVerdict
from triage_app.domain.review.queue import FindingReview, ReviewQueue, queue_of
from triage_app.domain.signed import Operator, Signed
from triage_app.services import known_words
from triage_app.services.lowering import LoweringGuard
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore, Check, Clock, NewId

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What a reviewer decides. A level that is None stays as the rules have it."""

    verdict: ReviewVerdict
    hv_flag: HvFlag | None = None
    risk: Risk | None = None
    reason: str = ""


class Reviewing:
    def __init__(
        self,
        *,
        cases: CaseStore,
        clock: Clock,
        new_id: NewId,
        rulebook: Rulebook,
        guard: LoweringGuard,
    ) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._rulebook = rulebook
        self._guard = guard

    def queue(self, case: Case) -> ReviewQueue:
        """Return the queue of this case value as it stands; nothing is stored."""
        return queue_of(
            case,
            assess(case_facts(case, self._rulebook.components), self._rulebook),
            self._rulebook,
        )

    @needs(Action.REVIEW_FINDING)
    def decide(
        self,
        case_id: CaseId,
        finding_id: FindingId,
        decision: Decision,
        *,
        seen: Sha256,
        by: Operator,
        review_id: ReviewId | None = None,
    ) -> Case:
        """Sign one finding; ``seen`` is the hash of what the reviewer had before them.

        Raises StaleCaseError where that is not what is there, NotAllowedError where nobody, or not
        this person, may lower it, InvalidInputError where the levels or the reason do not fit.
        """
        case = self._cases.get(case_id)
        if any(review.id == review_id for review in case.reviews):
            return case
        item = self._seen(case, finding_id, seen)
        given = GivenReview(
            id=self._review_id(review_id),
            finding_id=finding_id,
            verdict=decision.verdict,
            hv_flag=item.answer.hv_flag if decision.hv_flag is None else decision.hv_flag,
            risk=item.answer.risk if decision.risk is None else decision.risk,
            reason=decision.reason,
            content=item.content,
        )
        self._refuse_unfit(item, given, by)
        return self._sign(case_id, (given,), by)

    @needs(Action.REVIEW_FINDING)
    def acknowledge(
        self, case_id: CaseId, seen: Mapping[FindingId, Sha256], *, by: Operator
    ) -> Case:
        """Acknowledge the findings within reach of HV, all in one step, as the rules have them.

        Raises StaleCaseError as above, InvalidInputError for one that needs its own signature.
        """
        case = self._cases.get(case_id)
        given = []
        for finding_id, sha256 in seen.items():
            item = self._seen(case, finding_id, sha256)
            if item.is_one_by_one:
                raise InvalidInputError(
                    f"Finding {item.finding.number} is at high voltage and is reviewed by itself."
                )
            given.append(
                GivenReview(
                    id=self._review_id(None),
                    finding_id=finding_id,
                    verdict=ReviewVerdict.ACKNOWLEDGED,
                    hv_flag=item.answer.hv_flag,
                    risk=item.answer.risk,
                    content=item.content,
                )
            )
        return self._sign(case_id, tuple(given), by)

    @needs(Action.REVIEW_FINDING)
    def correct(
        self,
        case_id: CaseId,
        finding_id: FindingId,
        tags: Tags,
        *,
        reason: str,
        seen: Sha256,
        by: Operator,
    ) -> Case:
        """Change what a finding is said to be although its HV flag falls; on record with why.

        It waits for review again. Raises as ``decide`` does, except that what nobody may lower can
        be corrected: it may have been named wrongly.
        """
        known_words.check_tags(tags, self._rulebook)
        item = self._seen(self._cases.get(case_id), finding_id, seen)
        given = GivenReview(
            id=self._review_id(None),
            finding_id=finding_id,
            verdict=ReviewVerdict.CORRECTED,
            hv_flag=item.answer.hv_flag,
            risk=item.answer.risk,
            reason=reason,
            content=item.content,
        )
        command = CorrectFinding(
            finding_id=finding_id,
            tags=tags,
            expected_revision=item.finding.revision,
            given=given,
        )
        return self._apply(case_id, command, by, self._guard.check(command, by))

    def _seen(self, case: Case, finding_id: FindingId, seen: Sha256) -> FindingReview:
        finding = case.finding(finding_id)
        item = self.queue(case).of(finding_id)
        if item is None:
            raise StaleCaseError(f"Finding {finding.number} does not count any more; look again.")
        if item.sha256 != seen:
            raise StaleCaseError(
                f"Finding {finding.number}, its photos or what the rules say of it changed while "
                "you looked. Nothing was signed; look at it as it is now."
            )
        return item

    def _refuse_unfit(self, item: FindingReview, given: GivenReview, by: Operator) -> None:
        if given.verdict not in _FIT:
            raise InvalidInputError("A finding is confirmed, escalated or lowered.")
        _FIT[given.verdict](item, given)
        if _is_milder_than_shown(item, given) or given.verdict is ReviewVerdict.LOWERED:
            self._guard.refuse_own(item, by)

    def _sign(self, case_id: CaseId, given: tuple[GivenReview, ...], by: Operator) -> Case:
        def is_still_so(before: Case, _after: Case) -> None:
            for one in given:
                self._seen(before, one.finding_id, one.sha256)

        return self._apply(case_id, SignReviews(given=given), by, is_still_so)

    def _apply(self, case_id: CaseId, command: ReviewCommand, by: Operator, check: Check) -> Case:
        signed = Signed(by=by.name, at=self._clock())
        applied = self._cases.apply(case_id, command, signed, check=check)
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after

    def _review_id(self, given: ReviewId | None) -> ReviewId:
        return ReviewId(checked_id(given or self._new_id()))


def _refuse_unfit_confirmation(item: FindingReview, given: GivenReview) -> None:
    if (given.hv_flag, given.risk) != (item.answer.hv_flag, item.answer.risk):
        raise InvalidInputError("Confirming leaves the flag and the risk as the rules have them.")
    if _is_milder_than_shown(item, given) and not given.reason:
        last = item.signed or item.outdated
        how = f"was {last.given.verdict} by {last.signed.by}" if last else "stands higher"
        raise InvalidInputError(
            f"Finding {item.finding.number} {how}, at a higher flag or risk. Give a reason for "
            "taking that back; it goes on record with your name."
        )


def _refuse_unfit_escalation(item: FindingReview, given: GivenReview) -> None:
    answer = item.answer
    is_higher = given.hv_flag > answer.hv_flag or given.risk > answer.risk
    if not is_higher or given.hv_flag < answer.hv_flag or given.risk < answer.risk:
        raise InvalidInputError(
            "Escalating raises the risk or the HV flag above what the rules say, and lowers "
            "neither; say to what level."
        )


def _refuse_unfit_lowering(item: FindingReview, given: GivenReview) -> None:
    answer = item.answer
    is_milder = given.hv_flag < answer.hv_flag or given.risk < answer.risk
    if not is_milder or given.hv_flag > answer.hv_flag or given.risk > answer.risk:
        raise InvalidInputError(
            "Lowering takes the risk or the HV flag below what the rules say, and raises neither; "
            "say to what level."
        )
    if given.risk is Risk.ELIMINATED and answer.risk is not Risk.ELIMINATED:
        raise InvalidInputError(
            "No review makes a risk eliminated: that takes a record of what was done, and another "
            "person who accepts it. The lowest level of a review is Low."
        )
    if item.cannot_lower:
        raise NotAllowedError(item.cannot_lower)


def _is_milder_than_shown(item: FindingReview, given: GivenReview) -> bool:
    return given.hv_flag < item.hv_flag or given.risk < item.risk


_FIT = {
    ReviewVerdict.CONFIRMED: _refuse_unfit_confirmation,
    ReviewVerdict.ESCALATED: _refuse_unfit_escalation,
    ReviewVerdict.LOWERED: _refuse_unfit_lowering,
}
