"""Proposes where orange HV cable may be seen. Suggestions: they may raise a flag, never lower.

Colour alone, in CIELAB after a simple white balance: orange is a hue between rust and the yellow
of warning labels, and much more saturated than rust. A region needs a core of strong colour, and
then takes in the weaker colour around it (shade, dirt).
docs/explanation/orange-areas.md says what was measured.
"""

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Point, Ring, Rings, RingShape

MAX_AREAS = 20
MAX_POINTS_PER_AREA = 60

# CIELAB hue angle: rust and copper lie below or are paler, label yellow lies above. Towards
# clipping, red stops to rise while green still does, so bright orange looks yellower than it is.
_REDDEST_DEG = 38.0
_RED_LEVELS, _YELLOWEST_DEG = (190.0, 250.0), (76.0, 94.0)
_CORE_CHROMA, _WIDE_CHROMA = 44.0, 28.0
_WIDE_YELLOWER_DEG = 8.0  # highlights on a cable, taken in only where they join its core
_MIN_CORE_SHARE = 0.25
_MIN_AREA_FRAC = 6e-5  # 120 pixels of 1600 x 1200
_MIN_RED_OVER_BLUE = 30  # below this no colour can have the chroma asked for

# Beyond these the middle of the photo is not grey metal under a tinted lamp but a coloured thing.
_LAMP_TINTS = (0.75, 1.33)

_Pixels = npt.NDArray[np.uint8]
_Mask = npt.NDArray[np.uint8]


def orange_areas(pixels: _Pixels) -> tuple[Rings, ...]:
    """Return outlines of orange regions in upright sRGB ``pixels``, largest first."""
    mask = orange_mask(pixels)
    height_px, width_px = mask.shape
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = sorted(contours, key=cv2.contourArea, reverse=True)[:MAX_AREAS]
    rings = (_ring(contour, width_px, height_px) for contour in largest)
    return tuple(Rings(shape=RingShape.POLYGON, rings=(ring,)) for ring in rings)


def orange_mask(pixels: _Pixels) -> _Mask:
    """Return 1 where orange was found, 0 elsewhere, for upright sRGB pixels."""
    core, wide = _core_and_wide(_balanced(pixels), red=pixels[..., 0])
    closed = cv2.morphologyEx(wide, cv2.MORPH_CLOSE, np.ones((13, 13), np.uint8))
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    return _regions_with_core(opened.astype(np.uint8), core)


def _balanced(pixels: _Pixels) -> _Pixels:
    """Return the pixels under white light, taking most of an underside to be grey."""
    sample = pixels[::4, ::4].reshape(-1, 3).astype(np.float32)
    lit = sample[(sample.min(axis=1) > 20) & (sample.max(axis=1) < 240)]
    if lit.shape[0] < 100:
        return pixels
    red, blue = (float(np.median(lit[:, channel] / lit[:, 1])) for channel in (0, 2))
    if not all(_LAMP_TINTS[0] <= tint <= _LAMP_TINTS[1] for tint in (red, blue)):
        return pixels
    balanced: _Pixels = cv2.LUT(pixels, _gains(1 / red, 1.0, 1 / blue)).astype(np.uint8)
    return balanced


def _gains(*gains: float) -> npt.NDArray[np.uint8]:
    levels = np.arange(256)[None, :, None] * np.array(gains)[None, None, :]
    return np.clip(np.rint(levels), 0, 255).astype(np.uint8)


def _core_and_wide(pixels: _Pixels, red: _Mask) -> tuple[npt.NDArray[np.bool_], _Mask]:
    shape = pixels.shape[:2]
    core, wide = np.zeros(shape, np.bool_), np.zeros(shape, np.uint8)
    # Only what is redder than blue can be orange; CIELAB of all other pixels is spared.
    reddish = cv2.subtract(pixels[..., 0], pixels[..., 2]) >= _MIN_RED_OVER_BLUE
    colours = pixels[reddish]
    if colours.size == 0:
        return core, wide
    lab = cv2.cvtColor(colours[None].astype(np.float32) / 255, cv2.COLOR_RGB2LAB)[0]
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue_deg = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    yellowest_deg = np.interp(red[reddish], _RED_LEVELS, _YELLOWEST_DEG)
    not_red = hue_deg >= _REDDEST_DEG
    core[reddish] = not_red & (hue_deg <= yellowest_deg) & (chroma >= _CORE_CHROMA)
    almost = hue_deg <= yellowest_deg + _WIDE_YELLOWER_DEG
    wide[reddish] = not_red & almost & (chroma >= _WIDE_CHROMA)
    return core, wide


def _regions_with_core(wide: _Mask, core: npt.NDArray[np.bool_]) -> _Mask:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(wide, connectivity=8)
    areas_px = stats[:, cv2.CC_STAT_AREA]
    cores_px = np.bincount(labels[core], minlength=count)
    kept = (areas_px >= _MIN_AREA_FRAC * wide.size) & (cores_px >= _MIN_CORE_SHARE * areas_px)
    kept[0] = False
    mask: _Mask = kept[labels].astype(np.uint8)
    return mask


def _ring(contour: cv2.typing.MatLike, width_px: int, height_px: int) -> Ring:
    tolerance_px = 1.5
    points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    while len(points) > MAX_POINTS_PER_AREA:
        tolerance_px *= 1.5
        points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    if len(points) < 3 or cv2.contourArea(points) < 1:
        points = cv2.boxPoints(cv2.minAreaRect(contour))
    middles = (points.reshape(-1, 2).astype(np.float64) + 0.5) / (width_px, height_px)
    return tuple(Point(float(x), float(y)) for x, y in np.clip(middles, 0.0, 1.0))
