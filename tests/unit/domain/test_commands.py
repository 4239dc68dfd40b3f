"""Commands: repeats are harmless, adding never conflicts, undo brings back what was there."""

from dataclasses import replace

import pytest

from tests.builders import SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.domain.case import Case, Tags
from triage_app.domain.commands import (
    AddMark,
    AddPhoto,
    AnyCommand,
    MoveMark,
    RemoveMark,
    ReshapeMark,
    RestoreFinding,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError
from triage_app.domain.geometry import Ellipse, Point, rectangle
from triage_app.domain.ids import FindingId, MarkId, PhotoId
from triage_app.domain.signed import Signed
from triage_app.domain.undo import inverse

BOX = rectangle(0.1, 0.1, 0.3, 0.3)
OTHER_BOX = rectangle(0.5, 0.5, 0.8, 0.8)


def add_mark(finding: str = "F9", mark: str = "M9", tags: Tags | None = None) -> AddMark:
    return AddMark(
        finding_id=FindingId(finding),
        mark_id=MarkId(mark),
        photo_id=a_photo().id,
        outline=BOX,
        tags=tags or Tags(),
    )


def test_a_first_mark_starts_a_finding_with_the_next_number() -> None:
    case = add_mark().apply(a_case(a_finding(1), a_finding(4)), SIGNED)
    assert case.finding(FindingId("F9")).number == 5


def test_a_number_is_never_used_again_after_a_withdrawal() -> None:
    case = WithdrawFinding(
        finding_id=FindingId("F2"), reason="seen twice", expected_revision=1
    ).apply(a_case(a_finding(1), a_finding(2)), SIGNED)
    assert add_mark().apply(case, SIGNED).finding(FindingId("F9")).number == 3


def test_a_further_mark_joins_the_finding_and_its_tags_stay() -> None:
    case = add_mark(finding="F1").apply(a_case(a_finding(1)), SIGNED)
    finding = case.finding(FindingId("F1"))
    assert [mark.id for mark in finding.marks] == ["M1", "M9"]
    assert finding.tags == a_finding(1).tags


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(add_mark(mark="M1"), id="mark drawn again"),
        pytest.param(AddPhoto(photo=a_photo()), id="same photo again"),
        pytest.param(RemoveMark(mark_id=MarkId("M77")), id="mark already gone"),
        pytest.param(
            ReshapeMark(mark_id=MarkId("M1"), outline=a_mark().outline, expected_revision=99),
            id="reshaped to what it is",
        ),
        pytest.param(
            TagFinding(finding_id=FindingId("F1"), tags=some_tags(), expected_revision=99),
            id="tagged as it is",
        ),
        pytest.param(
            MoveMark(mark_id=MarkId("M1"), to_finding_id=FindingId("F1")), id="moved home"
        ),
        pytest.param(
            RestoreFinding(finding_id=FindingId("F1")), id="restored though not withdrawn"
        ),
    ],
)
def test_a_repeat_changes_nothing(command: AnyCommand) -> None:
    case = a_case(a_finding(1))
    assert command.apply(case, SIGNED) is case


def test_two_edits_of_the_same_finding_revision_conflict() -> None:
    case = a_case(a_finding(1))
    theirs = TagFinding(
        finding_id=FindingId("F1"), tags=some_tags(note="theirs"), expected_revision=1
    )
    ours = replace(theirs, tags=some_tags(note="ours"))
    changed = theirs.apply(case, SIGNED)
    with pytest.raises(StaleCaseError, match="finding 1"):
        ours.apply(changed, SIGNED)
    assert changed.finding(FindingId("F1")).tags.note == "theirs"


def test_two_reshapes_of_the_same_mark_revision_conflict() -> None:
    case = a_case(a_finding(1))
    first = ReshapeMark(mark_id=MarkId("M1"), outline=BOX, expected_revision=1).apply(case, SIGNED)
    with pytest.raises(StaleCaseError):
        ReshapeMark(mark_id=MarkId("M1"), outline=OTHER_BOX, expected_revision=1).apply(
            first, SIGNED
        )


def test_reshapes_of_two_marks_of_one_finding_do_not_conflict() -> None:
    case = a_case(a_finding(1, marks=(a_mark(1), a_mark(2))))
    for mark_id in ("M1", "M2"):
        case = ReshapeMark(mark_id=MarkId(mark_id), outline=BOX, expected_revision=1).apply(
            case, SIGNED
        )
    assert [mark.outline for mark in case.finding(FindingId("F1")).marks] == [BOX, BOX]


def test_an_ellipse_outside_the_photo_is_refused_when_drawn_and_when_reshaped() -> None:
    outside = Ellipse(centre=Point(0.0, 0.5), radius_x_px=5, radius_y_px=5)
    with pytest.raises(InvalidInputError):
        replace(add_mark(), outline=outside).apply(a_case(), SIGNED)
    with pytest.raises(InvalidInputError):
        ReshapeMark(mark_id=MarkId("M1"), outline=outside, expected_revision=1).apply(
            a_case(a_finding(1)), SIGNED
        )


def test_a_mark_on_a_missing_photo_is_refused() -> None:
    with pytest.raises(NotFoundError, match="no photo"):
        replace(add_mark(), photo_id=PhotoId("nowhere")).apply(a_case(), SIGNED)


def test_a_withdrawn_finding_takes_no_marks_and_no_tags() -> None:
    case = WithdrawFinding(
        finding_id=FindingId("F1"), reason="a shadow", expected_revision=1
    ).apply(a_case(a_finding(1)), SIGNED)
    assert case.open_findings == ()
    assert case.finding(FindingId("F1")).marks == a_finding(1).marks
    with pytest.raises(InvalidInputError, match="withdrawn"):
        add_mark(finding="F1").apply(case, SIGNED)
    with pytest.raises(InvalidInputError, match="withdrawn"):
        TagFinding(finding_id=FindingId("F1"), tags=Tags(), expected_revision=2).apply(case, SIGNED)


def test_a_withdrawal_needs_a_reason() -> None:
    with pytest.raises(InvalidInputError, match="Say why"):
        WithdrawFinding(finding_id=FindingId("F1"), reason=" ", expected_revision=1).apply(
            a_case(a_finding(1)), SIGNED
        )


def test_a_tagged_finding_stays_when_its_last_mark_goes() -> None:
    case = RemoveMark(mark_id=MarkId("M1")).apply(a_case(a_finding(1)), SIGNED)
    assert [finding.number for finding in case.open_findings] == [1]


def test_a_first_mark_taken_back_before_tagging_leaves_nothing_that_counts() -> None:
    case = add_mark().apply(a_case(), SIGNED)
    case = RemoveMark(mark_id=MarkId("M9")).apply(case, SIGNED)
    assert case.open_findings == ()
    assert case.next_number == 2


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(add_mark(), id="draw"),
        pytest.param(add_mark(finding="F1"), id="draw a further mark"),
        pytest.param(RemoveMark(mark_id=MarkId("M1")), id="remove"),
        pytest.param(
            ReshapeMark(mark_id=MarkId("M1"), outline=OTHER_BOX, expected_revision=1), id="reshape"
        ),
        pytest.param(
            MoveMark(mark_id=MarkId("M1"), to_finding_id=FindingId("F2")), id="same damage as"
        ),
    ],
)
def test_undo_and_redo_bring_the_outlines_back(command: AnyCommand) -> None:
    before = a_case(a_finding(1), a_finding(2))
    after = command.apply(before, SIGNED)
    undo = inverse(command, before, after)
    assert undo is not None
    undone = undo.apply(after, SIGNED)
    assert _outlines(undone) == _outlines(before)
    redo = inverse(undo, after, undone)
    assert redo is not None
    assert _outlines(redo.apply(undone, SIGNED)) == _outlines(after)


def test_tagging_is_edited_again_not_undone() -> None:
    case = a_case(a_finding(1))
    tags = some_tags(damage="scrape")
    command = TagFinding(finding_id=FindingId("F1"), tags=tags, expected_revision=1)
    assert inverse(command, case, command.apply(case, SIGNED)) is None


def _outlines(case: Case) -> dict[str, dict[str, object]]:
    return {
        finding.id: {mark.id: mark.outline for mark in finding.marks}
        for finding in case.open_findings
    }


def test_only_whoever_drew_it_takes_back_a_mark_that_nobody_named() -> None:
    case = add_mark().apply(a_case(), SIGNED)
    other = Signed(by="Sam Second", at=SIGNED.at)
    with pytest.raises(InvalidInputError, match="Erin Estimator drew finding 1"):
        RemoveMark(mark_id=MarkId("M9")).apply(case, other)
    assert RemoveMark(mark_id=MarkId("M9")).apply(case, SIGNED).open_findings == ()


def test_a_named_finding_cannot_be_emptied_until_it_no_longer_counts() -> None:
    case = RemoveMark(mark_id=MarkId("M1")).apply(a_case(a_finding(1)), SIGNED)
    with pytest.raises(InvalidInputError, match="keeps a name"):
        TagFinding(finding_id=FindingId("F1"), tags=Tags(), expected_revision=2).apply(case, SIGNED)
    assert len(case.open_findings) == 1
