"""The marking canvas as a page uses it."""

from collections.abc import Callable, Sequence

from triage_app.domain.ids import MarkId
from triage_app.ui.widgets.photo_canvas.gestures import Gesture
from triage_app.ui.widgets.photo_canvas.model import CanvasMark, CanvasPhoto, SameDamage


def photo_canvas(
    *,
    key: str,
    photo: CanvasPhoto,
    marks: Sequence[CanvasMark],
    selected: MarkId | None,
    on_gesture: Callable[[Gesture], None],
    same_damage: SameDamage | None = None,
    can_undo: bool = False,
    can_redo: bool = False,
) -> MarkId | None:
    """Show a photo with its marks and hand each finished gesture to ``on_gesture``.

    ``key`` names case, photo *and* operator: the browser keeps what is not yet stored under it,
    so it must never be shared by two people. ``marks`` are the store's, freshly read.

    ``on_gesture`` is called once per gesture, in order, before the script runs again, and
    performs it by one service call; a repeat (same mark id) must be harmless. A TriageError that
    it raises is shown on the canvas: the gesture is then dropped, except for a StorageError or
    NotAllowedError, where the browser keeps the gesture and all after it and tries again.

    The page keeps the selection (from Select, Draw and Delete gestures); ``selected`` is shown.
    Returns ``selected`` if that mark is among ``marks``, else None.
    """
    raise NotImplementedError
