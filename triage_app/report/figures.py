"""Which pictures show a finding: the whole photo, then a close-up of each of its marks."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from triage_app.domain.case import Finding, Mark, Photo
from triage_app.domain.geometry import Bounds
from triage_app.imaging.annotate import WHOLE_PHOTO, DrawnMark, close_up
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, intro
from triage_app.report.model import Block, Figure, PhotoPicture, PlanPicture
from triage_app.report.sections import underside
from triage_app.report.subject import Subject

_Shown = TypeVar("_Shown", PhotoPicture, PlanPicture, PhotoPicture | PlanPicture)

_GAP_MM = 2.4
_TALLEST_MM = 54.0
_TALLEST_FURTHER_MM = 40.0
_PLAN_ALONE_MM = 44.0
_MOST_IN_A_LINE = 3
_MOST_FURTHER_IN_A_LINE = 4
# A close-up that shows nearly the whole photo shows nothing new.
_NEARLY_ALL = 0.6


def figures_of(subject: Subject, finding: Finding, numbering: Numbering) -> list[Block]:
    """Return the figures of one finding: the first photo large with the plan, the others small."""
    plan = underside.of_finding(subject, finding)
    if not finding.marks:
        return [intro(texts.NO_MARK), *_plan_alone(finding, plan, numbering)]
    first, *others = (
        subject.case.photo(photo_id)
        for photo_id in dict.fromkeys(mark.photo_id for mark in finding.marks)
    )
    made = _first(subject, finding, first, plan, numbering)
    further = [
        (photo, picture)
        for photo in others
        for picture in (_whole(subject, finding, photo), *_close_ups(subject, finding, photo))
    ]
    start = 0
    for how_many in evenly(len(further), _MOST_FURTHER_IN_A_LINE):
        line = further[start : start + how_many]
        shown = in_one_line(
            [picture for _, picture in line],
            width_mm=subject.layout.text_width_mm,
            tallest_mm=_TALLEST_FURTHER_MM,
        )
        names = dict.fromkeys(subject.photo_names[photo.id] for photo, _ in line)
        one = "photo" if len(names) == 1 else "photos"
        caption = f"Finding {finding.number} on {one} {labels.listed(names)}: {_kinds(shown)}."
        made.append(Figure(pictures=shown, caption=numbering.next("Figure", caption)))
        start += how_many
    return made


def _first(
    subject: Subject,
    finding: Finding,
    photo: Photo,
    plan: PlanPicture | None,
    numbering: Numbering,
) -> list[Block]:
    pictures = [_whole(subject, finding, photo), *_close_ups(subject, finding, photo)]
    made: list[Block] = []
    start = 0
    for how_many in evenly(len(pictures), _MOST_IN_A_LINE):
        line: list[PhotoPicture | PlanPicture] = [*pictures[start : start + how_many]]
        if plan is not None and not made:
            line.append(plan)
        shown = in_one_line(
            line,
            width_mm=subject.layout.text_width_mm,
            tallest_mm=_TALLEST_FURTHER_MM if made else _TALLEST_MM,
        )
        name = subject.photo_names[photo.id]
        caption = f"Finding {finding.number} on photo {name}: {_kinds(shown)}."
        made.append(Figure(pictures=shown, caption=numbering.next("Figure", caption)))
        start += how_many
    return made


def _kinds(shown: Sequence[PhotoPicture | PlanPicture]) -> str:
    """Say what a line of pictures shows, such as "whole photo, close-up and place on the plan"."""
    photos = [picture for picture in shown if isinstance(picture, PhotoPicture)]
    whole = sum(picture.crop == WHOLE_PHOTO for picture in photos)
    close = len(photos) - whole
    counted = ((whole, "whole photo"), (close, "close-up"))
    parts = [name if number == 1 else f"{name}s" for number, name in counted if number]
    if len(photos) < len(shown):
        parts.append("place on the plan")
    return labels.listed(parts)


def _plan_alone(finding: Finding, plan: PlanPicture | None, numbering: Numbering) -> list[Block]:
    if plan is None:
        return []
    shown = in_one_line([plan], width_mm=_PLAN_ALONE_MM, tallest_mm=_PLAN_ALONE_MM)
    caption = f"Place of finding {finding.number} on the plan of the underside."
    return [Figure(pictures=shown, caption=numbering.next("Figure", caption))]


def evenly(how_many: int, most: int) -> list[int]:
    """Split into as few lines of at most ``most`` as it takes, of nearly equal length."""
    lines = -(-how_many // most)
    return [how_many // lines + (line < how_many % lines) for line in range(lines)]


def in_one_line(
    pictures: Sequence[_Shown], *, width_mm: float, tallest_mm: float
) -> tuple[_Shown, ...]:
    """Return the pictures at one height that fills the line, but not taller than ``tallest_mm``."""
    aspects = [_aspect(picture) for picture in pictures]
    free_mm = width_mm - _GAP_MM * len(pictures)
    height = min(free_mm / sum(aspects), tallest_mm)
    return tuple(
        replace(picture, width_mm=height * aspect, height_mm=height)
        for picture, aspect in zip(pictures, aspects, strict=True)
    )


def whole_photo(
    photo: Photo, *, name: str, alt: str, marks: tuple[DrawnMark, ...] = ()
) -> PhotoPicture:
    """Return the whole photo, not yet sized."""
    return PhotoPicture(
        name=name, photo=photo, crop=WHOLE_PHOTO, marks=marks, alt=alt, width_mm=0, height_mm=0
    )


def _whole(subject: Subject, finding: Finding, photo: Photo) -> PhotoPicture:
    title = labels.photo_title(photo, subject.photo_names)
    return whole_photo(
        photo,
        name=f"finding-{finding.number}-photo-{subject.photo_names[photo.id]}",
        alt=f"{title} with finding {finding.number} marked: {_what(subject, finding)}.",
        marks=_drawn(subject, finding, photo),
    )


def _close_ups(subject: Subject, finding: Finding, photo: Photo) -> list[PhotoPicture]:
    marks = [mark for mark in finding.marks if mark.photo_id == photo.id]
    made: list[PhotoPicture] = []
    for position, mark in enumerate(marks, start=1):
        crop = close_up(mark.outline, photo.width_px, photo.height_px)
        if (crop.right - crop.left) * (crop.bottom - crop.top) < _NEARLY_ALL:
            made.append(_close_up(subject, finding, photo, crop, (position, len(marks))))
    return made


def _close_up(
    subject: Subject, finding: Finding, photo: Photo, crop: Bounds, position: tuple[int, int]
) -> PhotoPicture:
    name = subject.photo_names[photo.id]
    which = f" {position[0]} of {position[1]}" if position[1] > 1 else ""
    return PhotoPicture(
        name=f"finding-{finding.number}-photo-{name}-mark-{position[0]}",
        photo=photo,
        crop=crop,
        marks=_drawn(subject, finding, photo),
        alt=(
            f"Close-up{which} from photo {name} with finding {finding.number} marked: "
            f"{_what(subject, finding)}."
        ),
        width_mm=0,
        height_mm=0,
    )


def _drawn(subject: Subject, finding: Finding, photo: Photo) -> tuple[DrawnMark, ...]:
    def drawn(owner: Finding, mark: Mark) -> DrawnMark:
        return DrawnMark(
            outline=mark.outline,
            label=str(owner.number),
            risk=subject.of_finding(owner).risk,
            is_emphasised=owner.id == finding.id,
        )

    return tuple(drawn(owner, mark) for owner, mark in subject.case.marks_on(photo.id))


def _what(subject: Subject, finding: Finding) -> str:
    where = labels.known_place(finding.tags, subject.rulebook)
    risk = labels.risk_word(subject.of_finding(finding).risk)
    return f"{subject.name(finding)}{where}, {risk} risk"


def _aspect(picture: PhotoPicture | PlanPicture) -> float:
    if isinstance(picture, PlanPicture):
        return picture.width_mm / picture.height_mm
    crop, photo = picture.crop, picture.photo
    across = (crop.right - crop.left) * photo.width_px
    return across / ((crop.bottom - crop.top) * photo.height_px)
