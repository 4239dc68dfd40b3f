"""Gestures on the canvas become stored changes; undo and redo walk them."""

from streamlit.testing.v1 import AppTest

from tests.builders import ESTIMATOR, an_estimator, some_tags
from tests.ui.conftest import Door
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.imaging.outline_sums import Combining
from triage_app.services import Services
from triage_app.ui.widgets.photo_canvas import (
    Combine,
    Delete,
    Draw,
    Gesture,
    Redo,
    Reshape,
    Select,
    Undo,
)

SMALL, LARGE = rectangle(0.1, 0.1, 0.2, 0.2), rectangle(0.1, 0.1, 0.6, 0.6)
M1, M2 = MarkId("mark-1"), MarkId("mark-2")


class Tab:
    """A tab in which gestures are made, as the canvas hands them on."""

    def __init__(self, case: Case) -> None:
        self._tab = AppTest.from_file("gesture_script.py", default_timeout=30)
        self._tab.session_state["case_id"] = case.id
        self._tab.session_state["photo_id"] = case.photos[0].id

    def make(self, *gestures: Gesture) -> list[str]:
        """Make the gestures and return the refusals."""
        self._tab.session_state["gestures"] = gestures
        self._tab.run()
        assert not self._tab.exception, self._tab.exception
        return [str(error.value) for error in self._tab.error]

    @property
    def selected(self) -> str:
        return self._tab.text[0].value

    @property
    def kept(self) -> tuple[str, str]:
        """How many steps can be undone and redone."""
        return self._tab.text[1].value, self._tab.text[2].value


def test_a_drawn_mark_is_stored_at_once_and_selected(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    assert tab.make(Draw(seq=1, mark_id=M1, outline=SMALL)) == []
    [(finding, mark)] = shop.cases.get(case.id).marks_on(case.photos[0].id)
    assert (mark.id, mark.outline) == (M1, SMALL)
    assert finding.created.by == ESTIMATOR.name
    assert tab.selected == M1


def test_the_same_gesture_twice_is_one_mark_and_one_step_to_undo(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    draw = Draw(seq=1, mark_id=M1, outline=SMALL)
    tab.make(draw, draw)
    assert len(shop.cases.get(case.id).findings) == 1
    assert tab.kept == ("1", "0")


def test_undo_and_redo_walk_every_kind_of_gesture(shop: Services, door: Door, case: Case) -> None:
    tab = Tab(case)
    tab.make(
        Draw(seq=1, mark_id=M1, outline=SMALL),
        Reshape(seq=2, mark_id=M1, outline=LARGE, base_revision=1),
        Delete(seq=3, mark_id=M1),
    )

    def outline() -> object:
        found = shop.cases.get(case.id).finding_of(M1)
        return found.marks[0].outline if found else None

    seen = []
    for step in (Undo, Undo, Undo, Undo, Redo, Redo, Redo, Redo):
        assert tab.make(step(seq=4)) == []
        seen.append(outline())
    assert seen == [LARGE, SMALL, None, None, SMALL, LARGE, None, None]


def test_a_new_gesture_ends_the_redo_line(door: Door, case: Case) -> None:
    tab = Tab(case)
    tab.make(Draw(seq=1, mark_id=M1, outline=SMALL), Undo(seq=2))
    assert tab.kept == ("0", "1")
    tab.make(Draw(seq=3, mark_id=M2, outline=SMALL))
    assert tab.kept == ("1", "0")


def test_a_further_view_joins_the_finding_it_belongs_to(
    shop: Services, door: Door, flagged: Case
) -> None:
    Tab(flagged).make(Draw(seq=1, mark_id=M1, outline=SMALL, same_finding_id=FindingId("F2")))
    assert len(shop.cases.get(flagged.id).finding(FindingId("F2")).marks) == 2


def test_selecting_shows_a_mark_and_selecting_nothing_shows_none(door: Door, flagged: Case) -> None:
    tab = Tab(flagged)
    tab.make(Select(seq=1, mark_id=MarkId("M1")))
    assert tab.selected == "M1"
    tab.make(Select(seq=2, mark_id=None))
    assert tab.selected == "None"
    tab.make(Select(seq=3, mark_id=MarkId("gone")))
    assert tab.selected == "None"


def test_when_somebody_else_reshaped_first_theirs_stands_and_a_sentence_says_so(
    shop: Services, door: Door, flagged: Case
) -> None:
    shop.marking.reshape(
        flagged.id, MarkId("M1"), LARGE, expected_revision=1, by=an_estimator("Sam Second")
    )
    refused = Tab(flagged).make(
        Reshape(seq=1, mark_id=MarkId("M1"), outline=SMALL, base_revision=1)
    )
    assert len(refused) == 1
    assert "Somebody else changed this mark" in refused[0]
    assert shop.cases.get(flagged.id).finding(FindingId("F1")).marks[0].outline == LARGE


def test_an_undo_that_somebody_else_made_impossible_is_let_go(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    tab.make(
        Draw(seq=1, mark_id=M1, outline=SMALL),
        Reshape(seq=2, mark_id=M1, outline=LARGE, base_revision=1),
    )
    drawn = shop.cases.get(case.id).open_findings[0]
    sam = an_estimator("Sam Second")
    shop.marking.tag(case.id, drawn.id, some_tags(), expected_revision=drawn.revision, by=sam)
    shop.marking.remove_mark(case.id, M1, by=sam)
    assert len(tab.make(Undo(seq=3))) == 1
    assert tab.kept == ("1", "0")


def test_a_gesture_of_somebody_who_is_signed_out_is_refused(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    door.sign_out()
    refused = tab.make(Draw(seq=1, mark_id=M1, outline=SMALL))
    assert refused == ["You are not signed in any more. Sign in again; nothing is lost."]
    assert shop.cases.get(case.id) == case


def test_a_cut_across_makes_two_marks_of_one_finding_and_undo_walks_it_back(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    tab.make(Draw(seq=1, mark_id=M1, outline=LARGE))
    across = rectangle(0.05, 0.3, 0.7, 0.35)
    cut = Combine(
        seq=2,
        mark_id=M1,
        outline=across,
        how=Combining.CUT,
        base_revision=1,
        pieces=MarkId("piece"),
    )
    assert tab.make(cut) == []
    marks = shop.cases.get(case.id).marks_on(case.photos[0].id)
    assert [mark.id for _, mark in marks] == [M1, "piece-2"]
    assert len({finding.id for finding, _ in marks}) == 1
    tab.make(Undo(seq=3), Undo(seq=4))
    [(_, mark)] = shop.cases.get(case.id).marks_on(case.photos[0].id)
    assert mark.outline == LARGE


def test_a_cut_over_somebody_elses_change_changes_nothing(
    shop: Services, door: Door, case: Case
) -> None:
    tab = Tab(case)
    tab.make(Draw(seq=1, mark_id=M1, outline=LARGE))
    tab.make(Reshape(seq=2, mark_id=M1, outline=SMALL, base_revision=1))
    cut = Combine(
        seq=3,
        mark_id=M1,
        outline=LARGE,
        how=Combining.JOIN,
        base_revision=1,
        pieces=MarkId("piece"),
    )
    assert "Somebody else changed this mark" in tab.make(cut)[0]
    [(_, mark)] = shop.cases.get(case.id).marks_on(case.photos[0].id)
    assert mark.outline == SMALL
