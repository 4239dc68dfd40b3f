"""The store behind the canvas in its tests: one case in memory, changed by the real commands."""

import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime

from rules import Risk
from triage_app.domain.case import Case, Photo, PhotoQuality, Tags
from triage_app.domain.commands import (
    AddMark,
    AnyCommand,
    RemoveMark,
    ReshapeMark,
    finding_and_mark,
)
from triage_app.domain.errors import StorageError
from triage_app.domain.ids import CaseId, FindingId, PhotoId, Sha256
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.undo import inverse
from triage_app.imaging.outline_sums import combined
from triage_app.ui.widgets.photo_canvas import (
    CanvasMark,
    Combine,
    Delete,
    Draw,
    Gesture,
    Redo,
    Reshape,
    Undo,
)
from triage_app.ui.widgets.photo_canvas.outlines import outline_data

WIDTH_PX, HEIGHT_PX = 4032, 3024
PHOTO = PhotoId("photo-1")
_SIGNED = Signed(by=Operator(name="Test Person").name, at=datetime(2026, 1, 2, tzinfo=UTC))
_RISKS = (Risk.HIGH, Risk.SERIOUS, Risk.MEDIUM, Risk.LOW, Risk.ELIMINATED)


def _new_case() -> Case:
    photo = Photo(
        id=PHOTO,
        sha256=Sha256("0" * 64),
        file_name="a.jpg",
        media_type="image/jpeg",
        byte_count=1,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        taken_at=None,
        quality=PhotoQuality(
            sharpness=1, mean_brightness=0.5, clipped_dark_frac=0, clipped_bright_frac=0
        ),
        added=_SIGNED,
    )
    return Case(id=CaseId("case-1"), reference="R-1", opened=_SIGNED, photos=(photo,))


@dataclass(slots=True)
class MarksOnFile:
    """``is_full`` makes every change fail as a full disk would; ``log`` has (time, gesture)."""

    case: Case = field(default_factory=_new_case)
    log: list[tuple[float, str]] = field(default_factory=list)
    is_full: bool = False
    runs: int = 0

    def apply(self, command: AnyCommand) -> AnyCommand | None:
        if self.is_full:
            raise StorageError("The disk is full; nothing was stored.")
        before = self.case
        self.case = command.apply(before, _SIGNED)
        self.log.append((time.time(), command.kind))
        return inverse(command, before, self.case) if self.case != before else None

    def canvas_marks(self) -> Iterator[CanvasMark]:
        for finding, mark in self.case.marks_on(PHOTO):
            risk = _RISKS[(finding.number - 1) % len(_RISKS)]
            yield CanvasMark(
                mark_id=mark.id,
                finding_id=finding.id,
                number=finding.number,
                label=finding.tags.note or f"Part {finding.number}, scrape",
                outline=mark.outline,
                revision=mark.revision,
                risk=risk,
                hv=risk >= Risk.SERIOUS,
            )

    def as_json(self) -> dict[str, object]:
        return {
            "marks": [
                {
                    "id": mark.mark_id,
                    "finding": mark.finding_id,
                    "number": mark.number,
                    "outline": outline_data(mark.outline),
                    "revision": mark.revision,
                }
                for mark in self.canvas_marks()
            ],
            "log": self.log,
            "runs": self.runs,
        }


def command_for(gesture: Gesture) -> AnyCommand | None:
    """Return the command for a gesture on a mark; None for the others."""
    match gesture:
        case Draw():
            finding_id = gesture.same_finding_id or FindingId(f"f-{gesture.mark_id[:40]}")
            return AddMark(
                finding_id=finding_id,
                mark_id=gesture.mark_id,
                photo_id=PHOTO,
                outline=gesture.outline,
                tags=Tags(note="Skid plate, puncture"),
            )
        case Reshape():
            return ReshapeMark(
                mark_id=gesture.mark_id,
                outline=gesture.outline,
                expected_revision=gesture.base_revision,
            )
        case Combine():
            _, mark = finding_and_mark(STORE.case, gesture.mark_id)
            size = {"width_px": WIDTH_PX, "height_px": HEIGHT_PX}
            return ReshapeMark(
                mark_id=gesture.mark_id,
                outline=combined(mark.outline, gesture.outline, gesture.how, **size)[0],
                expected_revision=gesture.base_revision,
            )
        case Delete():
            return RemoveMark(mark_id=gesture.mark_id)
        case _:
            return None


@dataclass(slots=True)
class Hand:
    """What one tab may take back and do again, and what it has chosen."""

    undo: list[AnyCommand] = field(default_factory=list)
    redo: list[AnyCommand] = field(default_factory=list)

    def perform(self, gesture: Gesture, store: MarksOnFile) -> None:
        if isinstance(gesture, Undo | Redo):
            source, target = self.undo, self.redo
            if isinstance(gesture, Redo):
                source, target = target, source
            if source and (back := store.apply(source[-1])):
                source.pop()
                target.append(back)
            return
        command = command_for(gesture)
        back = command and store.apply(command)
        if back:
            self.undo.append(back)
            self.redo.clear()


STORE = MarksOnFile()
