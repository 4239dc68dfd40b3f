"""Numbered tags of marks: where there is room for one, and drawing it with its leader line."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont

from rules import Risk
from triage_app.imaging.mark_strokes import (
    CASING_MM,
    DARK,
    LIGHT,
    Mask,
    PictureRings,
    drawn_rings,
    rgb,
)
from triage_app.imaging.mark_style import MARK_STYLES

_TAG_MM = 5.2
_DIMMED_TAG_MM = 3.8
_GAP_MM = 1.4
_LEADER_MM = 0.35
_SEARCH_SIDE_PX = 200
_SUPERSAMPLING = 4
_MUTED = (96, 102, 107)
# How far, in pixels of the search grid, a place may be worse before a better side is taken.
_PREFER_UP = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """A number for the mark with these rings (pixels of the picture).

    ``place`` is the tag's left top corner, None where there is no room beside the mark.
    """

    label: str
    risk: Risk
    is_emphasised: bool
    rings: PictureRings
    place: tuple[int, int] | None = None

    def size_px(self, px_per_mm: float) -> tuple[int, int]:
        return _tile(self.label, self.risk, self._height_px(px_per_mm), self.is_emphasised).size

    def draw_on(self, picture: Image.Image, *, px_per_mm: float) -> None:
        """Draw leader and tag; a tag without a place is left out."""
        if self.place is None:
            return
        tile = _tile(self.label, self.risk, self._height_px(px_per_mm), self.is_emphasised)
        if self.is_emphasised:
            _draw_leader(picture, self.place, tile.size, self.rings, px_per_mm)
        picture.paste(tile, self.place, tile)

    def _height_px(self, px_per_mm: float) -> int:
        side_mm = _TAG_MM if self.is_emphasised else _DIMMED_TAG_MM
        return max(9, round(side_mm * px_per_mm))


def tag_height_px(px_per_mm: float) -> int:
    """Height of an emphasised tag."""
    return max(9, round(_TAG_MM * px_per_mm))


def find_places(
    tags: Sequence[Tag], *, width_px: int, height_px: int, px_per_mm: float
) -> list[Tag]:
    """Return the tags with places, in the order given.

    A place lies inside the picture, off every emphasised mark and off every other tag, as near to
    its own mark as that allows. Emphasised tags choose first; dimmed marks are avoided if possible.
    """
    if not tags:
        return []
    scale = min(1.0, _SEARCH_SIDE_PX / max(width_px, height_px))
    grid = (max(1, int(height_px * scale)), max(1, int(width_px * scale)))
    clear_px = (CASING_MM + _GAP_MM) * px_per_mm * scale
    taken: Mask = np.zeros(grid, np.uint8)
    avoided: Mask = np.zeros(grid, np.uint8)
    for tag in tags:
        shown = drawn_rings(tag.rings, px_per_mm)
        _fill(taken if tag.is_emphasised else avoided, shown, scale, grow_px=clear_px)
    found = list(tags)
    for index in sorted(range(len(tags)), key=lambda at: not tags[at].is_emphasised):
        tag = tags[index]
        size = tuple(int(np.ceil(side * scale)) + 1 for side in tag.size_px(px_per_mm))
        own: Mask = np.zeros(grid, np.uint8)
        _fill(own, drawn_rings(tag.rings, px_per_mm), scale, grow_px=0)
        place = _nearest_free(own, taken, avoided, (size[0], size[1]))
        if place is None:
            continue
        taken[place[1] : place[1] + size[1], place[0] : place[0] + size[0]] = 1
        found[index] = replace(tag, place=(round(place[0] / scale), round(place[1] / scale)))
    return found


def _fill(mask: Mask, rings: PictureRings, scale: float, *, grow_px: float) -> None:
    points = [np.round(np.asarray(ring) * scale).astype(np.int32) for ring in rings]
    cv2.fillPoly(mask, points[:1], 1)
    cv2.polylines(mask, points, isClosed=True, color=1, thickness=max(1, round(2 * grow_px)))


def _nearest_free(
    own: Mask, taken: Mask, avoided: Mask, size: tuple[int, int]
) -> tuple[int, int] | None:
    """Return the left top corner of the best free place of ``size`` on the grid, or None."""
    width, height = size
    if width >= own.shape[1] or height >= own.shape[0]:
        return None
    is_free = _window_sums(taken, width, height) == 0
    if not is_free.any():
        return None
    if not own.any():
        return None
    from_own = cv2.distanceTransform(1 - own, cv2.DIST_L2, 3)
    rows, columns = is_free.shape
    centred = from_own[height // 2 : height // 2 + rows, width // 2 : width // 2 + columns]
    downwards = _PREFER_UP * np.arange(rows)[:, None]
    cost = centred + downwards + _window_sums(avoided, width, height)
    cost[~is_free] = np.inf
    row, column = np.unravel_index(int(np.argmin(cost)), cost.shape)
    return int(column), int(row)


def _window_sums(mask: Mask, width: int, height: int) -> npt.NDArray[np.int32]:
    """Return how much of the mask lies under a window, for each left top corner."""
    sums = cv2.integral(mask)
    total = sums[height:, width:] - sums[:-height, width:] - sums[height:, :-width]
    return np.asarray(total + sums[:-height, :-width], np.int32)


def _draw_leader(
    picture: Image.Image,
    place: tuple[int, int],
    size: tuple[int, int],
    rings: PictureRings,
    px_per_mm: float,
) -> None:
    centre = (place[0] + size[0] / 2, place[1] + size[1] / 2)
    end = _nearest_point(drawn_rings(rings, px_per_mm), centre)
    # The dot at its end touches the outline from outside.
    dot_px = 2.6 * _LEADER_MM * px_per_mm
    share = min(1.0, (dot_px + 1) / max(math.dist(centre, end), 1e-6))
    end = (end[0] + (centre[0] - end[0]) * share, end[1] + (centre[1] - end[1]) * share)
    reach = math.ceil(3 * _LEADER_MM * px_per_mm) + 1
    left, top = int(min(centre[0], end[0])) - reach, int(min(centre[1], end[1])) - reach
    right, bottom = int(max(centre[0], end[0])) + reach, int(max(centre[1], end[1])) + reach
    points = [(round(16 * (x - left - 0.5)), round(16 * (y - top - 0.5))) for x, y in (centre, end)]
    for colour, factor in ((DARK, 2.6), (LIGHT, 1.2)):
        mask: Mask = np.zeros((bottom - top, right - left), np.uint8)
        width_px = factor * _LEADER_MM * px_per_mm
        cv2.line(mask, points[0], points[1], 255, max(1, round(width_px)), cv2.LINE_AA, 4)
        cv2.circle(mask, points[1], round(16 * width_px), 255, -1, cv2.LINE_AA, 4)
        picture.paste(colour, (left, top), Image.fromarray(mask))


def _nearest_point(rings: PictureRings, to: tuple[float, float]) -> tuple[float, float]:
    starts = np.array([point for ring in rings for point in ring])
    ends = np.array([point for ring in rings for point in [*ring[1:], ring[0]]])
    along = ends - starts
    squared = np.maximum((along**2).sum(axis=1), 1e-12)
    share = np.clip(((np.array(to) - starts) * along).sum(axis=1) / squared, 0, 1)
    points = starts + along * share[:, None]
    best = points[int(np.argmin(((points - np.array(to)) ** 2).sum(axis=1)))]
    return float(best[0]), float(best[1])


@lru_cache(maxsize=256)
def _tile(label: str, risk: Risk, height_px: int, is_emphasised: bool) -> Image.Image:  # noqa: FBT001 - positional for the cache
    """Return the tag with its transparent surround; the result is shared, do not draw on it."""
    style = MARK_STYLES[risk]
    fill = rgb(style.colour) if is_emphasised else LIGHT
    ink = rgb(style.ink) if is_emphasised else _MUTED
    big = height_px * _SUPERSAMPLING
    font = ImageFont.load_default(round(big * 0.62))
    left, top, right, bottom = font.getbbox(label)
    width = max(big, round(right - left + 0.55 * big))
    tile = Image.new("RGBA", (width, big), (0, 0, 0, 0))
    pen = ImageDraw.Draw(tile)
    edge = big / 14
    radius = 0.3 * big
    outer = (0, 0, width - 1, big - 1)
    pen.rounded_rectangle(outer, radius, fill=DARK if is_emphasised else _MUTED)
    pen.rounded_rectangle(_inset(outer, edge), radius - edge, fill=LIGHT)
    pen.rounded_rectangle(_inset(outer, 2 * edge), radius - 2 * edge, fill=fill)
    at = ((width - right - left) / 2, (big - bottom - top) / 2)
    pen.text(at, label, fill=ink, font=font, stroke_width=big / 60)
    size = (max(1, round(width / _SUPERSAMPLING)), height_px)
    return tile.resize(size, Image.Resampling.BOX)


def _inset(box: tuple[float, float, float, float], by: float) -> tuple[float, float, float, float]:
    return box[0] + by, box[1] + by, box[2] - by, box[3] - by
