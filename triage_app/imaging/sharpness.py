"""How blurred are the edges of a photo? Told by their width, not by how much texture there is.

Where a step edge is blurred by a Gaussian of s px, its gradient after a further blur of t px falls
as 1 / sqrt(s^2 + t^2); the ratio at two values of t gives s, whatever the height of the edge.

Shake blurs only the edges that lie across it, so edges are sorted by direction and the worst
direction counts. A soft background is no fault: where two parts of the photo are sharp in
directions that differ, the camera was still, and the second sharpest part counts instead.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

# Blur up to this (Gaussian sigma, px at the reading size) counts as sharp, over all and in a part.
SHARP_BLUR_PX = 2.0
_SHARP_PART_BLUR_PX = 1.5

_FINE_PX, _COARSE_PX = 1.0, 2.5
_DIRECTIONS = 8
_FAR_APART = 3  # directions; shake that is along one of two such is across the other
_EDGE_SHARE = 0.03  # the strongest gradients, taken to be edges
_MIN_EDGE_GREY = 1.0  # grey levels per pixel; fainter than this is noise
_MIN_EDGES, _MIN_EDGES_IN_PART = 300, 40  # a direction with fewer edge pixels says nothing
_PARTS_LONG, _PARTS_SHORT = 6, 4
_MAX_BLUR_PX, _MIN_BLUR_PX = 20.0, 0.4

_Grey = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """Edge pixels of a photo: their ratio of gradients, direction (0..7) and part of the photo."""

    ratio: npt.NDArray[np.float32]
    direction: npt.NDArray[np.int64]
    part: npt.NDArray[np.int64]


def edge_blur_px(grey: _Grey, *, least_edges: int = _MIN_EDGES) -> float | None:
    """Return the blur of a photo's edges (Gaussian sigma in px), or None when it has no edges.

    A direction with fewer than ``least_edges`` edge pixels says nothing.
    """
    edges = _edges(grey)
    whole = _blur_by_direction(edges.ratio, edges.direction, least_edges)
    if not whole:
        return None
    blur_px = max(whole.values())
    if blur_px <= SHARP_BLUR_PX:
        return blur_px
    sharpest = sorted(_part_blurs_px(edges))[:2]
    if len(sharpest) == 2 and sharpest[1] <= _SHARP_PART_BLUR_PX:
        return sharpest[1]
    return blur_px


def _edges(grey: _Grey) -> _Edges:
    coarse_x, coarse_y = _gradient(grey, _COARSE_PX)
    coarse = cv2.magnitude(coarse_x, coarse_y)
    strong = float(np.quantile(coarse[::2, ::2], 1 - _EDGE_SHARE))
    # Places once, then a few in a hundred of the pixels: much faster than a mask for each reading.
    edges = np.flatnonzero(coarse > max(strong, _MIN_EDGE_GREY))
    fine_x, fine_y = (gradient.ravel()[edges] for gradient in _gradient(grey, _FINE_PX))
    turn = np.arctan2(coarse_y.ravel()[edges], coarse_x.ravel()[edges]) / np.pi
    return _Edges(
        ratio=(np.hypot(fine_x, fine_y) / coarse.ravel()[edges]).astype(np.float32),
        direction=np.rint(turn * _DIRECTIONS).astype(np.int64) % _DIRECTIONS,
        part=_part_of(edges, grey.shape),
    )


def _part_of(edges: npt.NDArray[np.int64], size_px: tuple[int, ...]) -> npt.NDArray[np.int64]:
    height_px, width_px = size_px
    rows, columns = _PARTS_SHORT, _PARTS_LONG
    if height_px > width_px:
        rows, columns = columns, rows
    y, x = np.divmod(edges, width_px)
    part: npt.NDArray[np.int64] = (y * rows // height_px) * columns + x * columns // width_px
    return part


def _part_blurs_px(edges: _Edges) -> Iterator[float]:
    """Yield the blur of each part that has edges in directions which differ enough to judge."""
    for part in range(_PARTS_LONG * _PARTS_SHORT):
        within = edges.part == part
        blurs = _blur_by_direction(edges.ratio[within], edges.direction[within], _MIN_EDGES_IN_PART)
        if any(_is_far_apart(one, other) for one in blurs for other in blurs):
            yield max(blurs.values())


def _is_far_apart(one: int, other: int) -> bool:
    turn = abs(one - other)
    return min(turn, _DIRECTIONS - turn) >= _FAR_APART


def _blur_by_direction(
    ratio: npt.NDArray[np.float32], direction: npt.NDArray[np.int64], at_least: int
) -> dict[int, float]:
    blurs = {}
    for which in range(_DIRECTIONS):
        ratios = ratio[direction == which]
        if ratios.size >= at_least:
            # The upper quartile: some soft edges among sharp ones are shadows and backgrounds.
            blurs[which] = _blur_px(float(np.quantile(ratios, 0.75)))
    return blurs


def _gradient(grey: _Grey, blur_px: float) -> tuple[_Grey, _Grey]:
    soft = cv2.GaussianBlur(grey, (0, 0), blur_px)
    along_x = cv2.Sobel(soft, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)
    along_y = cv2.Sobel(soft, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)
    return along_x.astype(np.float32, copy=False), along_y.astype(np.float32, copy=False)


def _blur_px(ratio: float) -> float:
    squared = ratio * ratio
    if squared <= 1.001:
        return _MAX_BLUR_PX
    blur_squared = (_COARSE_PX**2 - squared * _FINE_PX**2) / (squared - 1)
    return min(math.sqrt(max(blur_squared, _MIN_BLUR_PX**2)), _MAX_BLUR_PX)
