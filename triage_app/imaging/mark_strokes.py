"""The outline of a mark and its pattern, drawn antialiased on a picture.

Everything lies *outside* the outline, so that the damage stays bare. From the damage outwards: a
thin dark casing, a light core with the dashed line in the risk's colour, dark casing again, then a
narrow band of the risk's pattern. Two tones show on any background, and dashes and pattern tell
the risk on a black-and-white print too.
"""

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from rules import Risk
from triage_app.imaging.mark_style import MARK_STYLES

Point = tuple[float, float]
PictureRings = list[list[Point]]
Mask = npt.NDArray[np.uint8]
Area = tuple[int, int, int, int]

DARK = (24, 26, 28)
LIGHT = (250, 250, 247)

# How far each layer reaches from the outline, on paper.
_EDGE_MM, _COLOUR_FROM_MM, _COLOUR_TO_MM, _CORE_MM, CASING_MM = 0.14, 0.26, 0.74, 0.86, 1.02
BAND_MM = 2.6
_DASH_UNIT_MM = 0.5
_PATTERN_PERIOD_MM = 1.3
_DIMMED_FRAC = 0.6
_DIMMED_OPACITY = 0.6
# Smaller than this on paper, a mark gets a ring around it: along its own border nobody would see
# what the line surrounds.
_SMALLEST_MM = 3.0
_RING_RADIUS_MM = 2.0
_RING_SEGMENTS = 48
# OpenCV takes points in whole pixels or, with a shift, in 1/16 of a pixel.
_SHIFT_BITS = 4
_HALF_PIXEL = 0.5


def stroke_mark(
    picture: Image.Image,
    rings: PictureRings,
    *,
    risk: Risk,
    is_emphasised: bool,
    px_per_mm: float,
    clip: Area | None = None,
) -> None:
    """Draw one mark on ``picture``; rings are in its pixels and may reach outside it.

    Nothing is drawn outside ``clip`` (left, top, right, bottom). A mark that is not emphasised is
    thinner, paler and has no pattern.
    """
    shown = drawn_rings(rings, px_per_mm)
    unit_px = px_per_mm * (1.0 if is_emphasised else _DIMMED_FRAC)
    clip = clip or (0, 0, picture.width, picture.height)
    area = _worked_area(shown, clip, margin_px=round((BAND_MM + CASING_MM) * unit_px))
    if area is None:
        return
    layers = _Layers.of(shown, area, unit_px)
    style = MARK_STYLES[risk]
    opacity = 1.0 if is_emphasised else _DIMMED_OPACITY
    left, top = max(area[0], clip[0]), max(area[1], clip[1])
    seen = (
        slice(top - area[1], min(area[3], clip[3]) - area[1]),
        slice(left - area[0], min(area[2], clip[2]) - area[0]),
    )

    def lay(fill: tuple[int, int, int], mask: Mask, share: float) -> None:
        picture.paste(fill, (left, top), Image.fromarray(scaled(mask[seen], share)))

    if is_emphasised:
        band = layers.between(CASING_MM, BAND_MM)
        light, colour = _pattern(style.pattern, area, px_per_mm)
        lay(LIGHT, _both(band, light), 0.45)
        lay(rgb(style.colour), _both(band, colour), 0.8)
    lay(DARK, layers.between(0, CASING_MM), opacity)
    lay(LIGHT, layers.between(_EDGE_MM, _CORE_MM), opacity)
    lay(rgb(style.colour), layers.coloured_line(style.dash), opacity)


def drawn_rings(rings: PictureRings, px_per_mm: float) -> PictureRings:
    """Return the rings as drawn: themselves, or one ring around a mark too small to outline."""
    left, top, right, bottom = extent(rings)
    if max(right - left, bottom - top) >= _SMALLEST_MM * px_per_mm:
        return rings
    centre_x, centre_y = (left + right) / 2, (top + bottom) / 2
    turns = np.linspace(0, 2 * np.pi, _RING_SEGMENTS, endpoint=False)
    radius = _RING_RADIUS_MM * px_per_mm
    xs, ys = centre_x + radius * np.cos(turns), centre_y + radius * np.sin(turns)
    return [[(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]]


def extent(rings: PictureRings) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of the rings."""
    xs = [x for ring in rings for x, _ in ring]
    ys = [y for ring in rings for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def _worked_area(rings: PictureRings, clip: Area, *, margin_px: int) -> Area | None:
    """Return the area to work on: what the mark touches, a margin beyond ``clip`` included.

    The margin keeps a mark that leaves the picture from being outlined along the picture's edge.
    """
    left, top, right, bottom = extent(rings)
    touched = (left - margin_px, top - margin_px, right + margin_px, bottom + margin_px)
    if not (touched[0] < clip[2] and touched[2] > clip[0]):
        return None
    if not (touched[1] < clip[3] and touched[3] > clip[1]):
        return None
    return (
        max(clip[0] - margin_px, math.floor(touched[0])),
        max(clip[1] - margin_px, math.floor(touched[1])),
        min(clip[2] + margin_px, math.ceil(touched[2])),
        min(clip[3] + margin_px, math.ceil(touched[3])),
    )


def rgb(colour: str) -> tuple[int, int, int]:
    """``#RRGGBB`` as three numbers."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def scaled(mask: Mask, share: float) -> Mask:
    """Return a mask that lets ``share`` of itself through."""
    return mask if share >= 1 else np.asarray(cv2.convertScaleAbs(mask, alpha=share), np.uint8)


@dataclass(frozen=True, slots=True)
class _Layers:
    """Masks over one area of the picture, by distance from the outline."""

    closed: PictureRings
    inside: Mask
    unit_px: float

    @classmethod
    def of(cls, rings: PictureRings, area: Area, unit_px: float) -> "_Layers":
        left, top, right, bottom = area
        local = [[(x - left, y - top) for x, y in ring] for ring in rings]
        inside: Mask = np.zeros((bottom - top, right - left), np.uint8)
        # fillPoly fills by the even-odd rule, as our outlines mean it.
        cv2.fillPoly(inside, [_fixed(ring) for ring in local], 255, cv2.LINE_AA, _SHIFT_BITS)
        return cls([[*ring, ring[0]] for ring in local], inside, unit_px)

    def between(self, near_mm: float, far_mm: float) -> Mask:
        """Return what lies outside the outline, from ``near_mm`` to ``far_mm`` away from it."""
        hidden = cv2.max(self.inside, self._lines(self.closed, near_mm)) if near_mm else self.inside
        return _both(self._lines(self.closed, far_mm), np.invert(hidden))

    def coloured_line(self, dash: tuple[float, ...]) -> Mask:
        """Return the line in the risk's colour: whole, or in dashes along the outline."""
        if not dash:
            return self.between(_COLOUR_FROM_MM, _COLOUR_TO_MM)
        middle = (_COLOUR_FROM_MM + _COLOUR_TO_MM) / 2
        grown = cv2.max(self.inside, self._lines(self.closed, middle))
        _, grown = cv2.threshold(grown, 127, 255, cv2.THRESH_BINARY)
        contours, _ = cv2.findContours(grown, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
        width_px = max(1, round((_COLOUR_TO_MM - _COLOUR_FROM_MM) * self.unit_px))
        mask = np.zeros_like(self.inside)
        for contour in contours:
            smooth = cv2.approxPolyDP(contour, 0.8, closed=True)[:, 0, :] + _HALF_PIXEL
            ring = [(float(x), float(y)) for x, y in smooth]
            pieces = dashed([*ring, ring[0]], dash, _DASH_UNIT_MM * self.unit_px, width_px)
            _draw_lines(mask, pieces, width_px)
        return mask

    def _lines(self, lines: PictureRings, reach_mm: float) -> Mask:
        mask = np.zeros_like(self.inside)
        _draw_lines(mask, lines, max(1, round(2 * reach_mm * self.unit_px)))
        return mask


def dashed(
    line: list[Point], dash: tuple[float, ...], unit_px: float, width_px: float
) -> PictureRings:
    """Return the drawn pieces of a line whose dash and gap lengths are in units.

    The pieces are shorter by ``width_px`` than what is seen, since they get round ends.
    """
    lengths = [
        max(0.5, part * unit_px + (width_px if position % 2 else -width_px))
        for position, part in enumerate(dash)
    ]
    pieces: PictureRings = []
    piece: list[Point] = [line[0]]
    at, left, is_drawn = 0, lengths[0], True
    for (x1, y1), (x2, y2) in itertools.pairwise(line):
        side = math.dist((x1, y1), (x2, y2))
        done = 0.0
        while side - done > left:
            done += left
            point = (x1 + (x2 - x1) * done / side, y1 + (y2 - y1) * done / side)
            if is_drawn:
                pieces.append([*piece, point])
            is_drawn, piece, at = not is_drawn, [point], (at + 1) % len(lengths)
            left = lengths[at]
        left -= side - done
        piece.append((x2, y2))
    if is_drawn and len(piece) > 1:
        pieces.append(piece)
    return pieces


def _draw_lines(mask: Mask, lines: PictureRings, width_px: int) -> None:
    points = [_fixed(line) for line in lines]
    cv2.polylines(mask, points, False, 255, width_px, cv2.LINE_AA, _SHIFT_BITS)  # noqa: FBT003 - OpenCV's order


def _fixed(line: list[Point]) -> npt.NDArray[np.int32]:
    # OpenCV counts from the middle of the first pixel, our frame from its corner.
    points = (np.asarray(line) - _HALF_PIXEL) * (1 << _SHIFT_BITS)
    return np.asarray(np.round(points), np.int32)


def _both(one: Mask, other: Mask) -> Mask:
    return np.asarray(cv2.min(one, other), np.uint8)


def _pattern(name: str, area: Area, px_per_mm: float) -> tuple[Mask, Mask]:
    """Return a wide and a narrow mask of the pattern over an area."""
    width, height = area[2] - area[0], area[3] - area[1]
    period_px = max(4, round(_PATTERN_PERIOD_MM * px_per_mm))
    repeat = (-(-height // period_px), -(-width // period_px))
    wide, narrow = (
        np.ascontiguousarray(np.tile(tile, repeat)[:height, :width])
        for tile in _pattern_tiles(name, period_px)
    )
    return wide, narrow


@lru_cache(maxsize=64)
def _pattern_tiles(name: str, period_px: int) -> tuple[Mask, Mask]:
    """Return one period of a pattern that repeats without a seam, as a wide and a narrow mask."""
    y, x = np.mgrid[0:period_px, 0:period_px] + _HALF_PIXEL
    falling, rising = _to_line(x - y, period_px), _to_line(x + y, period_px)
    dots = np.hypot(x - period_px / 2, y - period_px / 2)
    gap = {
        "cross": np.minimum(falling, rising),
        "diagonal": rising,
        "dots": np.maximum(dots - 0.14 * period_px, 0),
    }.get(name, np.full((period_px, period_px), np.inf))
    return _soft(gap, 0.19 * period_px), _soft(gap, 0.11 * period_px)


def _to_line(offset: npt.NDArray[np.float64], period_px: int) -> npt.NDArray[np.float64]:
    """Return the distance to the nearest diagonal of a grid with the given period."""
    within = np.mod(offset, period_px)
    return np.asarray(np.minimum(within, period_px - within) / math.sqrt(2))


def _soft(gap: npt.NDArray[np.float64], half_width_px: float) -> Mask:
    return np.asarray(np.round(np.clip(half_width_px - gap + _HALF_PIXEL, 0, 1) * 255), np.uint8)
