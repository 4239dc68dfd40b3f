"""Photo + marks -> a new picture to print; the photo that is handed in is never drawn on.

Lengths are millimetres on paper, so that a mark looks the same in a whole photo and in a close-up
of whatever pixel size. Frame: the *upright* photo, x to the right, y down.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from rules import Risk
from triage_app.domain.geometry import Bounds, Outline, bounds, rings_px
from triage_app.imaging.mark_strokes import BAND_MM, PictureRings, stroke_mark
from triage_app.imaging.mark_tags import Tag, find_places, tag_height_px

WHOLE_PHOTO = Bounds(0.0, 0.0, 1.0, 1.0)

# A close-up leaves this share of the mark's longer side around it, and never shows less than this
# share of the photo's longer side: without surroundings nobody can tell which part they look at.
_MARGIN_FRAC = 0.55
_LEAST_CONTEXT_FRAC = 0.14
_CLOSE_UP_ASPECTS = (0.8, 1.45)
_STRIP_COLOUR = (236, 236, 231)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnMark:
    """One outline with its number. Marks that are not emphasised are dimmed: no fill, thinner."""

    outline: Outline
    label: str
    risk: Risk
    is_emphasised: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Which part of the photo is shown and how large.

    ``photo_*_px`` is the size in which outlines are meant (the whole upright photo as recorded);
    the photo handed to ``draw`` may be smaller. ``width_px`` and ``height_px`` are of the result.
    """

    photo_width_px: int
    photo_height_px: int
    crop: Bounds = WHOLE_PHOTO
    width_px: int
    height_px: int
    px_per_mm: float


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the view of the photo lies in the result: all of it, or below a strip for tags."""

    left_px: float
    top_px: float
    width_px: float
    height_px: float

    def clip(self, view: View) -> tuple[int, int, int, int]:
        """Return where outlines may be drawn: on the photo, or a band beside it."""
        reach = BAND_MM * view.px_per_mm
        return (
            max(0, round(self.left_px - reach)),
            max(0, round(self.top_px - reach)),
            min(view.width_px, round(self.left_px + self.width_px + reach)),
            min(view.height_px, round(self.top_px + self.height_px + reach)),
        )


def close_up(outline: Outline, photo_width_px: int, photo_height_px: int) -> Bounds:
    """Return the part of the photo to show around one outline, in fractions."""
    box = bounds(outline, photo_width_px, photo_height_px)
    box_width = (box.right - box.left) * photo_width_px
    box_height = (box.bottom - box.top) * photo_height_px
    margin = _MARGIN_FRAC * max(box_width, box_height)
    least = _LEAST_CONTEXT_FRAC * max(photo_width_px, photo_height_px)
    width, height = max(box_width + 2 * margin, least), max(box_height + 2 * margin, least)
    narrowest, widest = _CLOSE_UP_ASPECTS
    width, height = max(width, height * narrowest), max(height, width / widest)
    left, right = _within(box.left, box.right, width / photo_width_px)
    top, bottom = _within(box.top, box.bottom, height / photo_height_px)
    return Bounds(left, top, right, bottom)


def draw(photo: Image.Image, marks: Sequence[DrawnMark], view: View) -> Image.Image:
    """Return the view of ``photo`` with the marks on it: same input, same pixels.

    Dimmed marks lie under emphasised ones. A tag never covers an emphasised mark: where no room
    is left beside it, the view is drawn smaller below a strip that takes the tags.
    """
    frame = _Frame(0, 0, view.width_px, view.height_px)
    seen = [mark for mark in marks if _is_seen(mark.outline, view)]
    tags = _tags(seen, view, frame)
    if any(tag.place is None for tag in tags if tag.is_emphasised):
        frame = _below_strip(view)
        tags = _tags(seen, view, frame)
    picture = _shown(photo, view, frame)
    for tag in sorted(tags, key=lambda tag: tag.is_emphasised):
        stroke_mark(
            picture,
            tag.rings,
            risk=tag.risk,
            is_emphasised=tag.is_emphasised,
            px_per_mm=view.px_per_mm,
            clip=frame.clip(view),
        )
    for tag in sorted(tags, key=lambda tag: tag.is_emphasised):
        tag.draw_on(picture, px_per_mm=view.px_per_mm)
    return picture


def _is_seen(outline: Outline, view: View) -> bool:
    box, crop = bounds(outline, view.photo_width_px, view.photo_height_px), view.crop
    return (
        box.left < crop.right
        and box.right > crop.left
        and box.top < crop.bottom
        and box.bottom > crop.top
    )


def _within(low: float, high: float, size: float) -> tuple[float, float]:
    """Return an interval of ``size`` around low..high, moved and cut to stay inside 0..1."""
    if size >= 1:
        return 0.0, 1.0
    start = min(max((low + high - size) / 2, 0.0), 1.0 - size)
    return start, start + size


def _below_strip(view: View) -> _Frame:
    """Return a smaller frame with the strip above it and room for an outline on each side."""
    strip, edge = 2 * tag_height_px(view.px_per_mm), 1.1 * BAND_MM * view.px_per_mm
    scale = min(
        (view.height_px - strip - edge) / view.height_px,
        (view.width_px - 2 * edge) / view.width_px,
    )
    width, height = view.width_px * max(0.2, scale), view.height_px * max(0.2, scale)
    return _Frame((view.width_px - width) / 2, view.height_px - edge - height, width, height)


def _shown(photo: Image.Image, view: View, frame: _Frame) -> Image.Image:
    """Return the crop in its frame; resizing makes new pixels even where sizes are equal."""
    crop = view.crop
    box = (
        crop.left * photo.width,
        crop.top * photo.height,
        crop.right * photo.width,
        crop.bottom * photo.height,
    )
    size = (max(1, round(frame.width_px)), max(1, round(frame.height_px)))
    shown = (photo if photo.mode == "RGB" else photo.convert("RGB")).resize(
        size, Image.Resampling.LANCZOS, box=box, reducing_gap=2.0
    )
    picture = Image.new("RGB", (view.width_px, view.height_px), _STRIP_COLOUR)
    picture.paste(shown, (round(frame.left_px), round(frame.top_px)))
    return picture


def _tags(marks: Sequence[DrawnMark], view: View, frame: _Frame) -> list[Tag]:
    placed = [
        Tag(
            label=mark.label,
            risk=mark.risk,
            is_emphasised=mark.is_emphasised,
            rings=_rings(mark.outline, view, frame),
        )
        for mark in marks
    ]
    return find_places(
        placed, width_px=view.width_px, height_px=view.height_px, px_per_mm=view.px_per_mm
    )


def _rings(outline: Outline, view: View, frame: _Frame) -> PictureRings:
    """Return the outline's rings in pixels of the result."""
    crop, width, height = view.crop, view.photo_width_px, view.photo_height_px
    across = frame.width_px / ((crop.right - crop.left) * width)
    down = frame.height_px / ((crop.bottom - crop.top) * height)
    return [
        [
            (
                frame.left_px + (x - crop.left * width) * across,
                frame.top_px + (y - crop.top * height) * down,
            )
            for x, y in ring
        ]
        for ring in rings_px(outline, width, height)
    ]
