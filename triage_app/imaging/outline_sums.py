"""Adding one outline to another, and taking one out of another.

Frame: upright pixels. Worked out on a mask finer than the photo and traced again, so that an edge
is off by half a photo pixel at most; corners that either outline had before stay where they were.
"""

from enum import StrEnum
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import MAX_RINGS, Outline, Point, Rings, RingShape, rings_px

# Mask pixels in all: what a 48 MP photo with a mark all over it takes at one to one.
_MOST_MASK_PX = 60_000_000
_FINEST = 4
_SUBPIXEL_BITS = 6
_SMALLEST_PIECE_PX = 9.0
_MASK_SLACK = 1.0
_SAME_CORNER = 2.5

_Pixels = NDArray[np.float64]


class Combining(StrEnum):
    """What a second outline does to a mark."""

    JOIN = "join"
    CUT = "cut"


def combined(
    mark: Outline, other: Outline, how: Combining, *, width_px: int, height_px: int
) -> tuple[Rings, ...]:
    """Return the sum or difference, largest piece first; a cut may leave several pieces.

    Raises InvalidInputError where nothing would be left, or where what is added touches nothing.
    """
    rings = [_array(ring) for ring in rings_px(mark, width_px, height_px)]
    others = [_array(ring) for ring in rings_px(other, width_px, height_px)]
    corner, finer, shape = _sheet([*rings, *others])
    ours, theirs = (_filled(some, corner, finer, shape) for some in (rings, others))
    mask = ours | theirs if how is Combining.JOIN else ours & ~theirs
    corners = np.concatenate([*rings, *others])
    pieces = _pieces(mask, corner, finer, corners)
    if not pieces:
        raise InvalidInputError("Nothing of the mark would be left; delete the mark instead.")
    if how is Combining.JOIN and len(pieces) > 1:
        raise InvalidInputError("What you drew does not touch the mark, so it was not added.")
    return tuple(_rings(piece, width_px, height_px) for piece in pieces)


def _array(ring: list[tuple[float, float]]) -> _Pixels:
    return np.asarray(ring, dtype=np.float64)


def _sheet(rings: list[_Pixels]) -> tuple[_Pixels, int, tuple[int, int]]:
    """Return the mask's upper left corner, how much finer than the photo it is, and its shape."""
    points = np.concatenate(rings)
    corner = np.floor(points.min(axis=0)) - 2
    width, height = np.ceil(points.max(axis=0)) + 2 - corner
    finer = int(np.clip(np.sqrt(_MOST_MASK_PX / (width * height)), 1, _FINEST))
    return corner, finer, (int(height) * finer, int(width) * finer)


def _filled(
    rings: list[_Pixels], corner: _Pixels, finer: int, shape: tuple[int, int]
) -> NDArray[np.uint8]:
    """Return 255 inside, by the even-odd rule."""
    mask = np.zeros(shape, np.uint8)
    # A mask pixel's number names its middle, so an edge on the photo's grid lies half a pixel off.
    placed = [((ring - corner) * finer - 0.5) * (1 << _SUBPIXEL_BITS) for ring in rings]
    drawn = [np.rint(ring).astype(np.int32) for ring in placed]
    cv2.fillPoly(mask, drawn, 255, shift=_SUBPIXEL_BITS)
    return mask


def _pieces(
    mask: NDArray[np.uint8], corner: _Pixels, finer: int, corners: _Pixels
) -> list[list[_Pixels]]:
    """Return each piece as its border and its holes, in photo pixels, the largest first."""
    traced, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    found: list[tuple[float, list[_Pixels]]] = []
    for index, contour in enumerate(traced):
        if tree[0][index][3] >= 0:
            continue
        border = _ring(contour, corner, finer, corners)
        if border is None:
            continue
        holes, child = [], int(tree[0][index][2])
        while child >= 0:
            if (hole := _ring(traced[child], corner, finer, corners)) is not None:
                holes.append(hole)
            child = int(tree[0][child][0])
        found.append((float(cv2.contourArea(contour)), [border, *holes][:MAX_RINGS]))
    return [rings for _, rings in sorted(found, key=lambda each: -each[0])]


def _ring(contour: Any, corner: _Pixels, finer: int, corners: _Pixels) -> _Pixels | None:
    """Return a traced contour as a ring with few corners, or None for a crumb."""
    if cv2.contourArea(contour) < _SMALLEST_PIECE_PX * finer * finer:
        return None
    few = cv2.approxPolyDP(contour, _MASK_SLACK, closed=True).reshape(-1, 2)
    if len(few) < 3:
        return None
    ring = (few.astype(np.float64) + 0.5) / finer + corner
    return _back_on_corners(ring, corners, _SAME_CORNER / finer)


def _back_on_corners(ring: _Pixels, corners: _Pixels, reach_px: float) -> _Pixels:
    """Return the ring with each traced corner put back on the drawn one that it stands for."""
    gaps = np.linalg.norm(ring[:, None, :] - corners[None, :, :], axis=2)
    nearest = gaps.argmin(axis=1)
    is_same = gaps[np.arange(len(ring)), nearest] <= reach_px
    put = np.where(is_same[:, None], corners[nearest], ring)
    repeats = np.all(np.isclose(put, np.roll(put, 1, axis=0)), axis=1)
    kept = put[~repeats]
    return kept if len(kept) >= 3 else ring


def _rings(piece: list[_Pixels], width_px: int, height_px: int) -> Rings:
    size = np.array([width_px, height_px], dtype=np.float64)
    return Rings(
        shape=RingShape.POLYGON,
        rings=tuple(
            tuple(Point(float(x), float(y)) for x, y in np.clip(ring / size, 0.0, 1.0))
            for ring in piece
        ),
    )
