"""A gesture on the canvas becomes one service call; undo and redo walk the kept commands."""

from dataclasses import dataclass

from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import NotFoundError, StaleCaseError
from triage_app.domain.ids import CaseId, MarkId, PhotoId
from triage_app.ui import state
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
from triage_app.ui.wiring import operator, services


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoGestures:
    """What the canvas of one photo calls. TriageErrors pass through: the canvas shows them."""

    case_id: CaseId
    photo_id: PhotoId

    def __call__(self, gesture: Gesture) -> None:
        match gesture:
            case Draw():
                self._draw(gesture)
            case Reshape():
                self._reshape(gesture)
            case Combine():
                self._combine(gesture)
            case Delete():
                self._delete(gesture)
            case Select():
                self._select(gesture.mark_id)
            case Undo():
                self._walk(state.undo_stack(), state.redo_stack())
            case Redo():
                self._walk(state.redo_stack(), state.undo_stack())

    def _draw(self, gesture: Draw) -> None:
        marked = services().marking.mark(
            self.case_id,
            self.photo_id,
            gesture.outline,
            by=operator(),
            finding_id=gesture.same_finding_id,
            mark_id=gesture.mark_id,
        )
        if marked.undo is not None:
            state.remember_undo(marked.undo)
        _select_in(marked.case, gesture.mark_id)

    def _reshape(self, gesture: Reshape) -> None:
        marked = services().marking.reshape(
            self.case_id,
            gesture.mark_id,
            gesture.outline,
            expected_revision=gesture.base_revision,
            by=operator(),
        )
        if marked.undo is not None:
            state.remember_undo(marked.undo)
        _select_in(marked.case, gesture.mark_id)

    def _combine(self, gesture: Combine) -> None:
        done = services().marking.combine(
            self.case_id,
            gesture.mark_id,
            gesture.outline,
            gesture.how,
            expected_revision=gesture.base_revision,
            pieces=gesture.pieces,
            by=operator(),
        )
        for marked in done:
            if marked.undo is not None:
                state.remember_undo(marked.undo)
        _select_in(done[-1].case, gesture.mark_id)

    def _delete(self, gesture: Delete) -> None:
        marked = services().marking.remove_mark(self.case_id, gesture.mark_id, by=operator())
        if marked.undo is not None:
            state.remember_undo(marked.undo)
        # The finding stays in view: without marks it is still on record and may need withdrawing.
        state.select(None, state.selected_finding())

    def _select(self, mark_id: MarkId | None) -> None:
        if mark_id is None:
            state.select(None, None)
            return
        _select_in(services().cases.get(self.case_id), mark_id)

    def _walk(self, source: list[AnyCommand], target: list[AnyCommand]) -> None:
        """Apply the newest kept command and keep what takes it back again.

        A command that cannot be applied any more, because somebody else was there, is let go; on
        any other refusal it stays for another try.
        """
        if not source:
            return
        command = source[-1]
        try:
            marked = services().marking.apply(self.case_id, command, by=operator())
        except (StaleCaseError, NotFoundError):
            source.pop()
            raise
        source.pop()
        if marked.undo is not None:
            target.append(marked.undo)
        selected = state.selected_mark()
        if selected is not None and marked.case.finding_of(selected) is None:
            state.select(None, None)


def _select_in(case: Case, mark_id: MarkId) -> None:
    finding = case.finding_of(mark_id)
    state.select(mark_id if finding else None, finding.id if finding else None)
