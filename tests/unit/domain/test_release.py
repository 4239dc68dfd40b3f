"""What keeps a report a draft: each thing by itself, and nothing once all of it is there."""

from dataclasses import replace

import pytest

from rules import assess, load_rulebook
from tests.builders import NOON, SIGNED, a_case, a_finding, some_tags
from tests.safing_records import POLICY, SMALL_LAYOUT, entered, whole_record
from triage_app.domain.case import Case
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import ReviewId, SafingId
from triage_app.domain.release import Blocker, BlockerKind, release_blockers
from triage_app.domain.review.commands import SignReviews
from triage_app.domain.review.entries import GivenReview, ReviewVerdict
from triage_app.domain.review.queue import FindingReview, ReviewQueue, queue_of
from triage_app.domain.safing.entries import Happened, Happening, LayoutChosen
from triage_app.domain.safing.points import points_of
from triage_app.domain.safing.state import SafingStatus, status_of

BOOK = load_rulebook()
SHIELD = a_finding(1, tags=some_tags("skid_plate", "dent"))
LINER = a_finding(2, tags=some_tags("wheel_arch_liner", "scrape", zone="rear_left"), marks=())


def queue(case: Case) -> ReviewQueue:
    return queue_of(case, assess(case_facts(case), BOOK), BOOK)


def safing(case: Case) -> SafingStatus:
    last = case.safing[-1].done_at if case.safing else NOON
    return status_of(case, BOOK.components, now=last, policy=POLICY)


def blockers(case: Case, *unexplained: str, held_outside: str = "") -> tuple[Blocker, ...]:
    return release_blockers(
        case,
        queue=queue(case),
        safing=safing(case),
        unexplained=unexplained,
        held_outside=held_outside,
    )


def made_safe(case: Case) -> Case:
    chosen = entered([LayoutChosen(layout=SMALL_LAYOUT)])
    case = replace(case, safing=chosen)
    points = [point.id for point in points_of(case, BOOK.components)]
    return replace(case, safing=(*chosen, *entered(whole_record(points), first_number=2)))


def signed(case: Case) -> Case:
    def given(item: FindingReview) -> GivenReview:
        return GivenReview(
            id=ReviewId(f"V{item.finding.number}"),
            finding_id=item.finding.id,
            verdict=ReviewVerdict.CONFIRMED,
            hv_flag=item.answer.hv_flag,
            risk=item.answer.risk,
            content=item.content,
        )

    return SignReviews(given=tuple(given(item) for item in queue(case).waiting)).apply(case, SIGNED)


READY = signed(made_safe(a_case(SHIELD, LINER)))


def test_nothing_is_missing_once_all_of_it_is_there() -> None:
    assert blockers(READY) == ()


@pytest.mark.parametrize(
    ("case", "kind", "said"),
    [
        (signed(a_case(SHIELD, LINER)), BlockerKind.MAKE_SAFE, "record is not recorded"),
        (
            replace(
                READY,
                safing=(
                    *READY.safing,
                    replace(
                        READY.safing[-1],
                        id=SafingId("S99"),
                        number=len(READY.safing) + 1,
                        what=Happened(what=Happening.LOCK_REMOVED),
                    ),
                ),
            ),
            BlockerKind.MAKE_SAFE,
            "record is void: the lock was taken off",
        ),
        (made_safe(a_case()), BlockerKind.TRIAGE, "not assessed"),
        (
            signed(made_safe(a_case(a_finding(1, tags=some_tags(None, "dent"))))),
            BlockerKind.TRIAGE,
            "nobody has said what part",
        ),
        (
            replace(READY, reviews=READY.reviews[1:]),
            BlockerKind.REVIEW,
            "Finding 1 is at high voltage and waits for its review.",
        ),
        (
            replace(READY, reviews=READY.reviews[:1]),
            BlockerKind.REVIEW,
            "Finding 2 is within reach of high voltage and nobody acknowledged it.",
        ),
        (
            READY.with_finding(replace(LINER, tags=replace(LINER.tags, note="n"), revision=2)),
            BlockerKind.REVIEW,
            "Finding 2 changed since Erin Estimator signed it: the note changed",
        ),
    ],
)
def test_each_thing_that_is_missing_is_named(case: Case, kind: BlockerKind, said: str) -> None:
    (found,) = blockers(case)
    assert found.kind is kind
    assert said in found.what


def test_what_nobody_explained_and_a_car_held_outside_keep_it_a_draft() -> None:
    found = blockers(READY, "Front: liner, not inspected", held_outside="The car is held outside.")
    assert [one.kind for one in found] == [BlockerKind.ADMISSION, BlockerKind.INSPECTION]
