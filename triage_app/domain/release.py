"""What stands in the way of releasing a report. Until nothing does, every report is a draft."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.case import Case
from triage_app.domain.ids import FindingId
from triage_app.domain.review.queue import FindingReview, ReviewQueue, ReviewState
from triage_app.domain.safing.state import SafingState, SafingStatus


class BlockerKind(StrEnum):
    """Where something is missing: the part of the work, in the order of the work."""

    ADMISSION = "Admission"
    MAKE_SAFE = "Make safe"
    INSPECTION = "Inspection"
    TRIAGE = "Triage"
    REVIEW = "Review"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocker:
    """One thing that has to be done first, in a sentence."""

    kind: BlockerKind
    what: str
    finding_id: FindingId | None = None


def release_blockers(
    case: Case,
    *,
    queue: ReviewQueue,
    safing: SafingStatus,
    unexplained: Iterable[str] = (),
    held_outside: str = "",
) -> tuple[Blocker, ...]:
    """Return everything that keeps a report of ``case`` a draft; nothing means it may be released.

    ``queue`` and ``safing`` are of this very case, now. ``unexplained`` names what was not
    accessible or not inspected and nobody said why; ``held_outside`` is why the car may not come
    in, or empty.
    """
    return (
        *_of_admission(held_outside),
        *_of_make_safe(safing),
        *(Blocker(kind=BlockerKind.INSPECTION, what=what) for what in unexplained),
        *_of_triage(case),
        *(_of_review(item) for item in queue.waiting),
    )


def _of_admission(held_outside: str) -> Iterator[Blocker]:
    if held_outside:
        yield Blocker(kind=BlockerKind.ADMISSION, what=held_outside)


def _of_make_safe(safing: SafingStatus) -> Iterator[Blocker]:
    if safing.state is SafingState.RECORDED:
        return
    why = ""
    if safing.voids:
        why = f": {safing.voids[0].cause}"
    yield Blocker(kind=BlockerKind.MAKE_SAFE, what=f"The make-safe record is {safing.state}{why}.")


def _of_triage(case: Case) -> Iterator[Blocker]:
    if not case.open_findings:
        yield Blocker(kind=BlockerKind.TRIAGE, what="No finding counts: the car is not assessed.")
    for finding in case.open_findings:
        if finding.tags.component is None or finding.tags.damage is None:
            yield Blocker(
                kind=BlockerKind.TRIAGE,
                what=f"Finding {finding.number}: nobody has said what part or what damage it is.",
                finding_id=finding.id,
            )


def _of_review(item: FindingReview) -> Blocker:
    number = item.finding.number
    if item.state is ReviewState.UNSIGNED and item.outdated is not None:
        by = item.outdated.signed.by
        what = f"Finding {number} changed since {by} signed it: {'; '.join(item.changes)}."
    elif item.is_one_by_one:
        what = f"Finding {number} is at high voltage and waits for its review."
    else:
        what = f"Finding {number} is within reach of high voltage and nobody acknowledged it."
    return Blocker(kind=BlockerKind.REVIEW, what=what, finding_id=item.finding.id)
