"""Which changes take the HV flag or risk off a finding, or open the way to that: by a reviewer.

Filling in what nobody had said yet is not among them, though the answer may be milder then: what
is not known counts as worse. Changing or clearing what was said is, also where the answer falls
only once more is filled in; so is taking away the finding, the mark that makes it one, or
whatever beside it makes it worse.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rules import (
    Assessment,
    CaseAssessment,
    CaseFacts,
    HvFlag,
    Rulebook,
    VehicleFacts,
    assess,
)
from triage_app.domain.case import Case, Finding, Tags
from triage_app.domain.findings import case_facts, facts_from
from triage_app.domain.review.filling_in import filled_in, is_car_cleared, is_cleared, said
from triage_app.domain.review.lowering import why_not_lowered
from triage_app.domain.review.queue import FindingReview, queue_of
from triage_app.domain.review.supposing import supposed_cars, supposed_tags
from triage_app.domain.signed import is_same_person


def lowered_by(before: Case, after: Case, book: Rulebook, *, by: str) -> tuple[FindingReview, ...]:
    """Return the findings, as they were, that ``by`` may take down only as a reviewer.

    At HV neither the flag nor the risk falls; within reach no flag falls for something else that
    was changed.
    """
    queue = queue_of(before, _assessed(before, book), book)
    flagged = [item for item in queue.items if item.is_flagged]
    if not flagged:
        return ()
    filled = _without_taken_back(filled_in(before, after), flagged, after, by)
    change = _Change(before=before, filled=filled, after=after, book=book)
    compared = [(_assessed(change.filled, book), _assessed(after, book))]
    compared += [
        (_assessed(old, book), _assessed(new, book))
        for old, new in supposed_cars(change.filled, after)
    ]
    return tuple(item for item in flagged if _falls(item, change, compared, by))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """A case, the same with what is only filled in, and as it is to be."""

    before: Case
    filled: Case
    after: Case
    book: Rulebook


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answered:
    """What the rules say of a finding, and why nobody may lower that, or empty."""

    answer: Assessment
    cannot_lower: str


_Compared = list[tuple[CaseAssessment, CaseAssessment]]


def _falls(item: FindingReview, change: _Change, compared: _Compared, by: str) -> bool:
    finding_id = item.finding.id
    is_now = change.after.finding(finding_id)
    if not is_now.is_open:
        return item.is_one_by_one and not _may_take_back(item, change.after, by)
    filled = change.filled.finding(finding_id)
    is_changed = dict(said(filled.tags)) != dict(said(is_now.tags)) or filled.marks != is_now.marks
    answers = [(old.of(finding_id), new.of(finding_id)) for old, new in compared]
    was, now = (replace(item.finding, tags=one.tags) for one in (filled, is_now))
    if not item.is_one_by_one:
        return not is_changed and any(new.hv_flag < old.hv_flag for old, new in answers)
    return (
        is_cleared(item.finding.tags, is_now.tags)
        or is_car_cleared(change.before.vehicle, change.after.vehicle)
        or any(
            _is_milder(_answered(was, old, change), _answered(now, new, change))
            for old, new in answers
        )
        or (is_changed and _opens_the_way(was, now, change))
    )


def _may_take_back(item: FindingReview, after: Case, by: str) -> bool:
    """Tell whether an unnamed finding goes by the hand that drew it, or into another finding."""
    was = item.finding
    if was.tags != Tags() or item.reviews:
        return False
    kept = {mark.id for finding in after.open_findings for mark in finding.marks}
    is_moved = bool(was.marks) and all(mark.id in kept for mark in was.marks)
    return is_moved or is_same_person(was.created.by, by)


def _without_taken_back(
    filled: Case, flagged: Sequence[FindingReview], after: Case, by: str
) -> Case:
    """Return the case without unnamed findings that go: what only they made worse goes with them.

    It is as if they had been named at once, which may make what lies beside them milder too.
    """
    gone = {
        item.finding.id
        for item in flagged
        if not after.finding(item.finding.id).is_open and _may_take_back(item, after, by)
    }
    return replace(filled, findings=tuple(one for one in filled.findings if one.id not in gone))


def _opens_the_way(was: Finding, now: Finding, change: _Change) -> bool:
    """Tell whether it would fall once what neither says is filled in."""
    return any(
        _is_milder(_alone(replace(was, tags=old), change), _alone(replace(now, tags=new), change))
        for old, new in supposed_tags(was.tags, now.tags, change.book)
    )


def _alone(finding: Finding, change: _Change) -> _Answered:
    car = change.filled.vehicle
    facts = CaseFacts(
        vehicle=VehicleFacts(
            system_voltage_v=car.system_voltage_v, powertrain=car.powertrain, signs={}
        ),
        findings=(facts_from(change.filled, finding),),
    )
    return _answered(finding, assess(facts, change.book).of(finding.id), change)


def _answered(finding: Finding, answer: Assessment, change: _Change) -> _Answered:
    return _Answered(answer=answer, cannot_lower=why_not_lowered(finding, answer, change.book))


def _is_milder(old: _Answered, new: _Answered) -> bool:
    """Tell whether the new answer is milder, or may be lowered where the old may not."""
    if new.answer.hv_flag < old.answer.hv_flag or new.answer.risk < old.answer.risk:
        return True
    is_barred = old.answer.hv_flag is HvFlag.AT_HV and bool(old.cannot_lower)
    return is_barred and not new.cannot_lower


def _assessed(case: Case, book: Rulebook) -> CaseAssessment:
    return assess(case_facts(case, book.components), book)
