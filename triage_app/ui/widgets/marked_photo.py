"""The canvas of one photo, with the marks that the store holds and the risk of each."""

from rules import HvFlag
from triage_app.domain.case import Case, Photo
from triage_app.ui import photo_text, state
from triage_app.ui.marking_gestures import PhotoGestures
from triage_app.ui.names import finding_name
from triage_app.ui.picture_links import CANVAS_SIDE_PX, edges_link, picture_link, revision_link
from triage_app.ui.widgets.case_frame import OpenCase
from triage_app.ui.widgets.photo_canvas import (
    CanvasArea,
    CanvasMark,
    CanvasPhoto,
    SameDamage,
    Seen,
    photo_canvas,
)
from triage_app.ui.wiring import operator


def marked_photo(opened: OpenCase, photo: Photo) -> None:
    """Show the photo; each finished gesture on it is stored before the page runs again."""
    case = opened.case
    photo_canvas(
        key=f"canvas-{case.id}-{photo.id}-{operator().name}",
        photo=CanvasPhoto(
            photo_id=photo.id,
            width_px=photo.width_px,
            height_px=photo.height_px,
            preview_url=picture_link(case.id, photo.id, side_px=CANVAS_SIDE_PX),
            full_url=picture_link(case.id, photo.id, side_px=None),
            edges_url=edges_link(case.id, photo.id),
            title=photo.file_name,
        ),
        marks=_marks(opened, photo),
        areas=_areas(photo),
        selected=state.selected_mark(),
        on_gesture=PhotoGestures(case_id=case.id, photo_id=photo.id),
        same_damage=_joined(case),
        can_undo=bool(state.undo_stack()),
        can_redo=bool(state.redo_stack()),
        seen=Seen(revision=case.revision, url=revision_link(case.id)),
    )


def _joined(case: Case) -> SameDamage | None:
    finding_id = state.further_view_of()
    finding = case.find_finding(finding_id) if finding_id else None
    return SameDamage(finding_id=finding.id, number=finding.number) if finding else None


def _areas(photo: Photo) -> list[CanvasArea]:
    areas = []
    for number, outline in enumerate(photo.orange_areas):
        given = photo.opinion_on(number)
        areas.append(
            CanvasArea(
                label=photo_text.orange_label(number, given.opinion if given else None),
                outline=outline,
                is_settled=given is not None,
            )
        )
    return areas


def _marks(opened: OpenCase, photo: Photo) -> list[CanvasMark]:
    marks = []
    for finding, mark in opened.case.marks_on(photo.id):
        answer = opened.assessment.of(finding.id)
        marks.append(
            CanvasMark(
                mark_id=mark.id,
                finding_id=finding.id,
                number=finding.number,
                label=finding_name(finding),
                outline=mark.outline,
                revision=mark.revision,
                risk=answer.risk,
                hv=answer.hv_flag is not HvFlag.NONE,
            )
        )
    return marks
