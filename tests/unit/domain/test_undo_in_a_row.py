"""Several gestures of one session are taken back and done again one after the other."""

import pytest

from tests.builders import a_case, a_photo
from triage_app.domain.case import Case
from triage_app.domain.commands import AddMark, AnyCommand, RemoveMark, ReshapeMark
from triage_app.domain.errors import StaleCaseError
from triage_app.domain.geometry import Outline, rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.signed import Signed
from triage_app.domain.undo import inverse

SHAPES = [rectangle(0.1, 0.1, 0.2 + 0.1 * i, 0.3) for i in range(4)]
MARK = MarkId("M7")


def outline_of(case: Case) -> Outline | None:
    finding = case.finding_of(MARK)
    if finding is None:
        return None
    return next(mark.outline for mark in finding.marks if mark.id == MARK)


def done(case: Case, command: AnyCommand, signed: Signed) -> tuple[Case, AnyCommand]:
    after = command.apply(case, signed)
    back = inverse(command, case, after)
    assert back is not None
    return after, back


def test_draw_moves_and_deletion_are_taken_back_and_done_again_in_a_row() -> None:
    case = a_case(photos=(a_photo(),))
    signed = case.opened
    commands: list[AnyCommand] = [
        AddMark(
            finding_id=FindingId("F7"),
            mark_id=MARK,
            photo_id=case.photos[0].id,
            outline=SHAPES[0],
        ),
        ReshapeMark(mark_id=MARK, outline=SHAPES[1], expected_revision=1),
        ReshapeMark(mark_id=MARK, outline=SHAPES[2], expected_revision=2),
        RemoveMark(mark_id=MARK),
    ]
    seen: list[Outline | None] = [outline_of(case)]
    undo: list[AnyCommand] = []
    for command in commands:
        case, back = done(case, command, signed)
        undo.append(back)
        seen.append(outline_of(case))
    for _ in range(2):
        redo: list[AnyCommand] = []
        for expected in reversed(seen[:-1]):
            case, back = done(case, undo.pop(), signed)
            redo.append(back)
            assert outline_of(case) == expected
        for expected in seen[1:]:
            case, back = done(case, redo.pop(), signed)
            undo.append(back)
            assert outline_of(case) == expected


def test_taking_back_never_overwrites_what_somebody_else_did() -> None:
    case = a_case(photos=(a_photo(),))
    add = AddMark(
        finding_id=FindingId("F7"), mark_id=MARK, photo_id=case.photos[0].id, outline=SHAPES[0]
    )
    case, _ = done(case, add, case.opened)
    mine = ReshapeMark(mark_id=MARK, outline=SHAPES[1], expected_revision=1)
    case, back = done(case, mine, case.opened)
    theirs = ReshapeMark(mark_id=MARK, outline=SHAPES[2], expected_revision=2)
    case, _ = done(case, theirs, case.opened)
    with pytest.raises(StaleCaseError):
        back.apply(case, case.opened)
