"""The exchange with the browser: which gestures were seen, what each was answered, what is next.

The browser sends all gestures that were not answered yet; each is handed over once. Memory lives
in the session: a new session starts a new count, and the browser, told so by the session's name,
sends again what it still holds.
"""

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field

from triage_app.domain.errors import NotAllowedError, StorageError, TriageError
from triage_app.ui.widgets.photo_canvas.gestures import Gesture, Refused, parse_gestures
from triage_app.ui.widgets.photo_canvas.outlines import PhotoSize

KEPT_ANSWERS = 20


def _new_name() -> str:
    return secrets.token_hex(8)


@dataclass(slots=True, kw_only=True)
class Exchange:
    """What this session remembers of one canvas. ``held`` says why gestures are still waiting."""

    session: str = field(default_factory=_new_name)
    seen: int = 0
    refused: list[Refused] = field(default_factory=list)
    held: str = ""

    def take(self, value: object, size: PhotoSize, perform: Callable[[Gesture], None]) -> None:
        """Hand each new gesture in ``value`` to ``perform``, in order.

        A gesture that cannot be carried out is answered and dropped. Where the store cannot be
        used or nobody is signed in, it stays unanswered with all after it: the browser keeps
        them. Any other exception passes through, also without an answer.
        """
        if not isinstance(value, dict) or value.get("session") != self.session:
            return
        self.held = ""
        for entry in parse_gestures(value.get("gestures"), size, after=self.seen):
            try:
                self._perform(entry, perform)
            except (StorageError, NotAllowedError) as error:
                self.held = str(error)
                return
            self.seen = entry.seq

    def _perform(self, entry: Gesture | Refused, perform: Callable[[Gesture], None]) -> None:
        if isinstance(entry, Refused):
            self._refuse(entry)
            return
        try:
            perform(entry)
        except (StorageError, NotAllowedError):
            raise
        except TriageError as error:
            self._refuse(Refused(seq=entry.seq, sentence=str(error)))

    def _refuse(self, refused: Refused) -> None:
        self.refused = [*self.refused, refused][-KEPT_ANSWERS:]
