"""Marking: words are checked against the book, undo is another command."""

import pytest

from rules import ComponentId, DamageId, HvFlag, Risk
from tests.builders import ESTIMATOR, FAR_FROM_HV, SENIOR, a_jpeg, an_estimator, some_tags
from tests.unit.services.shop import a_shop
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StaleCaseError
from triage_app.domain.geometry import polygon, rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.signed import Operator
from triage_app.services import Services

BOX = rectangle(0.1, 0.1, 0.3, 0.3)


@pytest.fixture
def shop() -> Services:
    return a_shop()


@pytest.fixture
def case(shop: Services) -> Case:
    opened = shop.intake.open_case(by=ESTIMATOR)
    shop.intake.add_photo(opened.id, a_jpeg(), file_name="a.jpg", by=ESTIMATOR)
    return shop.cases.get(opened.id)


def test_an_untagged_mark_is_at_hv_and_high_until_somebody_says_what_it_is(
    shop: Services, case: Case
) -> None:
    marked = shop.marking.mark(case.id, case.photos[0].id, BOX, by=ESTIMATOR).case
    answer = shop.triage.assess_case(marked).findings[0]
    assert answer.hv_flag is HvFlag.AT_HV
    assert answer.risk is Risk.HIGH


@pytest.mark.parametrize(
    ("tags", "word"),
    [
        (some_tags(component="flux_capacitor"), "component 'flux_capacitor'"),
        (some_tags(damage="sadness"), "damage type 'sadness'"),
        (some_tags(zone="moon"), "zone 'moon'"),
    ],
)
def test_a_word_that_the_book_does_not_know_is_refused(
    shop: Services, case: Case, tags: object, word: str
) -> None:
    with pytest.raises(InvalidInputError, match=word):
        shop.marking.mark(case.id, case.photos[0].id, BOX, tags=tags, by=ESTIMATOR)  # type: ignore[arg-type]  # a row of the table
    assert shop.cases.get(case.id).findings == ()


def test_undo_then_redo(shop: Services, case: Case) -> None:
    drawn = shop.marking.mark(case.id, case.photos[0].id, BOX, by=ESTIMATOR)
    assert drawn.undo is not None
    undone = shop.marking.apply(case.id, drawn.undo, by=ESTIMATOR)
    assert undone.case.open_findings == ()
    assert undone.undo is not None
    redone = shop.marking.apply(case.id, undone.undo, by=ESTIMATOR)
    assert [f.number for f in redone.case.open_findings] == [1]
    assert redone.case.open_findings[0].marks[0].outline == BOX


def test_a_repeated_gesture_has_nothing_to_undo(shop: Services, case: Case) -> None:
    def draw() -> object:
        return shop.marking.mark(
            case.id,
            case.photos[0].id,
            BOX,
            mark_id=MarkId("m1"),
            finding_id=FindingId("f1"),
            by=ESTIMATOR,
        ).undo

    assert draw() is not None
    assert draw() is None
    assert len(shop.cases.journal(case.id)) == 3


def test_two_people_tag_the_same_finding_and_both_versions_are_there(
    shop: Services, case: Case
) -> None:
    shop.marking.mark(case.id, case.photos[0].id, BOX, finding_id=FindingId("f1"), by=ESTIMATOR)
    shop.marking.tag(
        case.id, FindingId("f1"), some_tags(), expected_revision=1, by=an_estimator("Sam Second")
    )
    with pytest.raises(StaleCaseError):
        shop.marking.tag(
            case.id, FindingId("f1"), some_tags(damage="scrape"), expected_revision=1, by=ESTIMATOR
        )
    tags = shop.cases.get(case.id).findings[0].tags
    assert (tags.component, tags.damage) == (ComponentId("hv_cable"), DamageId("severed"))


def test_reshape_move_withdraw_and_restore(shop: Services, case: Case) -> None:
    photo_id = case.photos[0].id
    for n in (1, 2):
        shop.marking.mark(
            case.id,
            photo_id,
            BOX,
            mark_id=MarkId(f"m{n}"),
            finding_id=FindingId(f"f{n}"),
            tags=some_tags("wheel_arch_liner", "scrape", zone="rear_end", measures=FAR_FROM_HV),
            by=ESTIMATOR,
        )
    shape = polygon([(0.1, 0.1), (0.9, 0.1), (0.5, 0.9)])
    shop.marking.reshape(case.id, MarkId("m1"), shape, expected_revision=1, by=ESTIMATOR)
    moved = shop.marking.same_damage(case.id, MarkId("m1"), FindingId("f2"), by=ESTIMATOR).case
    assert {m.id for m in moved.finding(FindingId("f2")).marks} == {"m1", "m2"}
    revision = moved.finding(FindingId("f1")).revision
    gone = shop.marking.withdraw(
        case.id, FindingId("f1"), reason="shown by 2", expected_revision=revision, by=ESTIMATOR
    )
    assert [f.id for f in gone.open_findings] == ["f2"]
    back = shop.marking.restore(case.id, FindingId("f1"), by=ESTIMATOR)
    assert len(back.open_findings) == 2


def test_a_withdrawal_without_a_reason_is_refused(shop: Services, case: Case) -> None:
    shop.marking.mark(case.id, case.photos[0].id, BOX, finding_id=FindingId("f1"), by=ESTIMATOR)
    with pytest.raises(InvalidInputError, match="reason"):
        shop.marking.withdraw(
            case.id, FindingId("f1"), reason="  ", expected_revision=1, by=ESTIMATOR
        )


def test_an_estimator_withdraws_no_finding_at_hv(shop: Services, case: Case) -> None:
    finding_id = FindingId("f1")
    shop.marking.mark(
        case.id, case.photos[0].id, BOX, finding_id=finding_id, tags=some_tags(), by=ESTIMATOR
    )
    with pytest.raises(NotAllowedError, match="only a senior technician"):
        shop.marking.withdraw(case.id, finding_id, reason="x", expected_revision=1, by=ESTIMATOR)
    assert shop.triage.assess(case.id, by=ESTIMATOR).hv_flag is HvFlag.AT_HV


@pytest.mark.parametrize("by", [ESTIMATOR, SENIOR], ids=["who drew it", "a reviewer"])
def test_a_mark_that_nobody_named_goes_with_a_reason(
    shop: Services, case: Case, by: Operator
) -> None:
    shop.marking.mark(case.id, case.photos[0].id, BOX, finding_id=FindingId("f1"), by=ESTIMATOR)
    gone = shop.marking.withdraw(
        case.id, FindingId("f1"), reason="a slip", expected_revision=1, by=by
    )
    withdrawn = gone.findings[0].withdrawn
    assert withdrawn is not None
    assert (withdrawn.reason, withdrawn.signed.by) == ("a slip", by.name)


def test_for_another_estimator_an_unnamed_mark_could_be_anything(
    shop: Services, case: Case
) -> None:
    shop.marking.mark(case.id, case.photos[0].id, BOX, finding_id=FindingId("f1"), by=ESTIMATOR)
    with pytest.raises(NotAllowedError, match="senior technician"):
        shop.marking.withdraw(
            case.id,
            FindingId("f1"),
            reason="a slip",
            expected_revision=1,
            by=an_estimator("Sam Second"),
        )
