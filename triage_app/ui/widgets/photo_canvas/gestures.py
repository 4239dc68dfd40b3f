"""What a person did on the canvas, as read from the browser. Nothing from there is trusted.

The browser numbers its gestures and makes the ids of new marks, so that sending a gesture twice is
harmless. One gesture that cannot be right is answered with a sentence; the others are unaffected.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeGuard

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import Outline
from triage_app.domain.ids import FindingId, MarkId, checked_id
from triage_app.imaging.outline_sums import Combining
from triage_app.ui.widgets.photo_canvas.outlines import PhotoSize, parse_outline

MAX_GESTURES = 500
MAX_COUNTER = 2**53 - 1  # the largest whole number that the browser keeps exactly


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """A new mark. With ``same_finding_id`` it is a further view of that finding."""

    seq: int
    mark_id: MarkId
    outline: Outline
    same_finding_id: FindingId | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reshape:
    """A mark was moved or reshaped; ``base_revision`` is the mark revision it started from."""

    seq: int
    mark_id: MarkId
    outline: Outline
    base_revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Delete:
    """Take a mark off."""

    seq: int
    mark_id: MarkId


@dataclass(frozen=True, slots=True, kw_only=True)
class Combine:
    """A second outline was drawn to be added to a mark, or taken out of it.

    Where a cut leaves several pieces, the further ones are marks named after ``pieces``.
    """

    seq: int
    mark_id: MarkId
    outline: Outline
    how: Combining
    base_revision: int
    pieces: MarkId


@dataclass(frozen=True, slots=True, kw_only=True)
class Select:
    """A mark was chosen; None when nothing is chosen any more."""

    seq: int
    mark_id: MarkId | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo:
    """Take the last gesture of this session back; with nothing to take back, do nothing."""

    seq: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Redo:
    """Do again what was taken back; with nothing to do again, do nothing."""

    seq: int


Gesture = Draw | Reshape | Combine | Delete | Select | Undo | Redo


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A gesture that was not carried out, and the sentence that says why."""

    seq: int
    sentence: str


def parse_gestures(value: object, size: PhotoSize, *, after: int = 0) -> list[Gesture | Refused]:
    """Return the gestures numbered above ``after``, in order, each number once.

    ``value`` is whatever the browser sent. Entries without a usable number are dropped: our own
    browser code makes none, and there is nobody to answer.
    """
    if not isinstance(value, list):
        return []
    by_seq: dict[int, Mapping[object, object]] = {}
    for entry in value[:MAX_GESTURES]:
        if isinstance(entry, Mapping) and _is_counter(seq := entry.get("seq")) and seq > after:
            by_seq.setdefault(seq, entry)
    return [_parse_one(seq, by_seq[seq], size) for seq in sorted(by_seq)]


def _parse_one(seq: int, entry: Mapping[object, object], size: PhotoSize) -> Gesture | Refused:
    kind = entry.get("kind")
    parse = _PARSERS.get(kind) if isinstance(kind, str) else None
    if parse is None:
        return Refused(seq=seq, sentence="The canvas sent something unknown; reload the page.")
    try:
        return parse(seq, entry, size)
    except InvalidInputError as error:
        return Refused(seq=seq, sentence=str(error))


def _draw(seq: int, entry: Mapping[object, object], size: PhotoSize) -> Gesture:
    same = entry.get("same_finding_id")
    return Draw(
        seq=seq,
        mark_id=_mark_id(entry),
        outline=parse_outline(entry.get("outline"), size),
        same_finding_id=None if same is None else FindingId(_id(same)),
    )


def _reshape(seq: int, entry: Mapping[object, object], size: PhotoSize) -> Gesture:
    base = entry.get("base_revision")
    if not _is_counter(base):
        raise InvalidInputError("A changed mark came without its revision; reload the page.")
    return Reshape(
        seq=seq,
        mark_id=_mark_id(entry),
        outline=parse_outline(entry.get("outline"), size),
        base_revision=base,
    )


def _combine(seq: int, entry: Mapping[object, object], size: PhotoSize) -> Gesture:
    base, how = entry.get("base_revision"), entry.get("how")
    if not _is_counter(base) or not isinstance(how, str) or how not in set(Combining):
        raise InvalidInputError("A changed mark came without its revision; reload the page.")
    return Combine(
        seq=seq,
        mark_id=_mark_id(entry),
        outline=parse_outline(entry.get("outline"), size),
        how=Combining(how),
        base_revision=base,
        pieces=MarkId(_id(entry.get("pieces"))),
    )


def _delete(seq: int, entry: Mapping[object, object], _: PhotoSize) -> Gesture:
    return Delete(seq=seq, mark_id=_mark_id(entry))


def _select(seq: int, entry: Mapping[object, object], _: PhotoSize) -> Gesture:
    return Select(seq=seq, mark_id=None if entry.get("mark_id") is None else _mark_id(entry))


def _mark_id(entry: Mapping[object, object]) -> MarkId:
    return MarkId(_id(entry.get("mark_id")))


def _id(value: object) -> str:
    if not isinstance(value, str):
        raise InvalidInputError("A mark came without its identifier; reload the page.")
    return checked_id(value)


def _is_counter(value: object) -> TypeGuard[int]:
    if not isinstance(value, int) or isinstance(value, bool):
        return False
    return 1 <= value <= MAX_COUNTER


_Parser = Callable[[int, Mapping[object, object], PhotoSize], Gesture]
_PARSERS: dict[str, _Parser] = {
    "draw": _draw,
    "reshape": _reshape,
    "combine": _combine,
    "delete": _delete,
    "select": _select,
    "undo": lambda seq, _entry, _size: Undo(seq=seq),
    "redo": lambda seq, _entry, _size: Redo(seq=seq),
}
