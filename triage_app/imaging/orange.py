"""Proposes where orange HV cable may be seen. Suggestions: they may raise a flag, never lower.

Colour alone, in CIELAB: orange is a hue between rust and the yellow of warning labels, and much
more saturated than rust. A region needs a core of strong colour and then takes in the weaker
colour around it (shade, dirt).
"""

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Point, Ring, Rings, RingShape

MAX_AREAS = 20
MAX_POINTS_PER_AREA = 60

_SIDE_PX = 1_600
_HUE_DEG = (38.0, 77.0)
_CLIPPED_HUE_DEG = 89.0  # where red is clipped the true hue is redder than it looks
_CLIPPED_RED = 250
_CORE_CHROMA = 48.0
_EDGE_CHROMA = 30.0
_MIN_AREA_FRAC = 120 / (1_600 * 1_200)
_MIN_CORE_SHARE = 0.25

_Pixels = npt.NDArray[np.uint8]
_Mask = npt.NDArray[np.uint8]


def orange_areas(pixels: _Pixels) -> tuple[Rings, ...]:
    """Return outlines of orange regions in upright sRGB ``pixels``, largest first."""
    mask = orange_mask(pixels)
    height_px, width_px = mask.shape
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = sorted(contours, key=cv2.contourArea, reverse=True)[:MAX_AREAS]
    rings = (_ring(contour, width_px, height_px) for contour in largest)
    return tuple(Rings(shape=RingShape.POLYGON, rings=(ring,)) for ring in rings if ring)


def orange_mask(pixels: _Pixels) -> _Mask:
    """Return 1 where orange was found, 0 elsewhere, for upright sRGB pixels."""
    lab = cv2.cvtColor(pixels.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    hue_deg = np.degrees(np.arctan2(lab[..., 2], lab[..., 1]))
    reddest = np.where(pixels[..., 0] >= _CLIPPED_RED, _CLIPPED_HUE_DEG, _HUE_DEG[1])
    is_orange = (hue_deg >= _HUE_DEG[0]) & (hue_deg <= reddest)
    core = is_orange & (chroma >= _CORE_CHROMA)
    wide = (is_orange & (chroma >= _EDGE_CHROMA)).astype(np.uint8)
    closed = cv2.morphologyEx(wide, cv2.MORPH_CLOSE, np.ones((7, 7), np.uint8))
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    return _regions_with_core(opened.astype(np.uint8), core)


def _regions_with_core(wide: _Mask, core: npt.NDArray[np.bool_]) -> _Mask:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(wide, connectivity=8)
    areas_px = stats[:, cv2.CC_STAT_AREA]
    cores_px = np.bincount(labels[core], minlength=count)
    kept = (areas_px >= _MIN_AREA_FRAC * wide.size) & (cores_px >= _MIN_CORE_SHARE * areas_px)
    kept[0] = False
    mask: _Mask = kept[labels].astype(np.uint8)
    return mask


def _ring(contour: cv2.typing.MatLike, width_px: int, height_px: int) -> Ring | None:
    tolerance_px = 1.5
    points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    while len(points) > MAX_POINTS_PER_AREA:
        tolerance_px *= 1.5
        points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    if len(points) < 3:
        return None
    middles = (points.reshape(-1, 2).astype(np.float64) + 0.5) / (width_px, height_px)
    return tuple(Point(float(x), float(y)) for x, y in middles)
