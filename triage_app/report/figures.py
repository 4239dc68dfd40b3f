"""Which pictures show a finding: the whole photo, then a close-up of each of its marks."""

from collections.abc import Sequence
from dataclasses import replace

from triage_app.domain.case import Finding, Mark, Photo
from triage_app.domain.geometry import Bounds
from triage_app.imaging.annotate import WHOLE_PHOTO, DrawnMark, close_up
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, words
from triage_app.report.model import Block, Figure, PhotoPicture
from triage_app.report.subject import Subject

_GAP_MM = 2.4
_TALLEST_MM = 72.0
_TALLEST_FURTHER_MM = 52.0
_MOST_IN_A_LINE = 3
# A close-up that shows nearly the whole photo shows nothing new.
_NEARLY_ALL = 0.6


def figures_of(subject: Subject, finding: Finding, numbering: Numbering) -> list[Block]:
    """Return the figures of one finding, photo by photo in the order of its marks."""
    if not finding.marks:
        return [words(texts.NO_MARK)]
    made: list[Block] = []
    for photo_id in dict.fromkeys(mark.photo_id for mark in finding.marks):
        photo = subject.case.photo(photo_id)
        pictures = [_whole(subject, finding, photo), *_close_ups(subject, finding, photo)]
        start = 0
        for how_many in evenly(len(pictures), _MOST_IN_A_LINE):
            shown = in_one_line(
                pictures[start : start + how_many],
                width_mm=subject.layout.text_width_mm,
                tallest_mm=_TALLEST_MM if not made else _TALLEST_FURTHER_MM,
            )
            caption = _caption(subject, finding, photo, shown, is_first=start == 0)
            made.append(Figure(pictures=shown, caption=numbering.next("Figure", caption)))
            start += how_many
    return made


def evenly(how_many: int, most: int) -> list[int]:
    """Split into as few lines of at most ``most`` as it takes, of nearly equal length."""
    lines = -(-how_many // most)
    return [how_many // lines + (line < how_many % lines) for line in range(lines)]


def in_one_line(
    pictures: Sequence[PhotoPicture], *, width_mm: float, tallest_mm: float
) -> tuple[PhotoPicture, ...]:
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


def _caption(
    subject: Subject,
    finding: Finding,
    photo: Photo,
    shown: Sequence[PhotoPicture],
    *,
    is_first: bool,
) -> str:
    title = f"Finding {finding.number} on photo {subject.photo_names[photo.id]}"
    if not is_first:
        return f"{title}, {'further close-up' if len(shown) == 1 else 'further close-ups'}."
    if len(shown) == 1:
        return f"{title}, whole photo."
    return f"{title}: whole photo and {'close-up' if len(shown) == 2 else 'close-ups'}."


def _aspect(picture: PhotoPicture) -> float:
    crop, photo = picture.crop, picture.photo
    across = (crop.right - crop.left) * photo.width_px
    return across / ((crop.bottom - crop.top) * photo.height_px)
