"""Proposes where orange HV cable may be seen. Suggestions: they may raise a flag, never lower.

Colour alone, in CIELAB after a simple white balance: orange is a hue between rust and the yellow
of warning labels, and much more saturated than rust. A region needs a core of strong colour, and
then takes in the weaker colour around it (shade, dirt).
docs/explanation/orange-areas.md says what was measured.
"""

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Point, Ring, Rings, RingShape, rectangle

MAX_AREAS = 20
MAX_POINTS_PER_AREA = 60

# CIELAB hue angle: rust and copper lie below or are paler, label yellow lies above. Towards
# clipping, red stops to rise while green and blue still do, so bright orange looks yellower and
# paler than it is: the limit gives way where red is high, unless the colour is still full.
_REDDEST_DEG = 38.0
_RED_LEVELS, _YELLOWEST_DEG = (190.0, 250.0), (76.0, 94.0)
_FULL_CHROMA, _YELLOWEST_FULL_DEG = (60.0, 72.0), 74.0
_CORE_CHROMA, _WIDE_CHROMA = 44.0, 28.0
_WIDE_YELLOWER_DEG = 8.0  # highlights on a cable, taken in only where they join its core
_MIN_CORE_FRAC = 4e-5  # 77 pixels of 1600 x 1200
_REACH_PX = 49  # a region reaches half of this beyond its core
_MIN_RED_OVER_BLUE = 30  # below this no colour can have the chroma asked for

# Beyond these the middle of the photo is not grey metal under a tinted lamp but a coloured thing.
_LAMP_TINTS = (0.6, 1.45)

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
    return _around_core(opened.astype(np.uint8), core)


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
    table: npt.NDArray[np.uint8] = np.clip(np.rint(levels), 0, 255).astype(np.uint8)
    return table


def _core_and_wide(pixels: _Pixels, red: _Mask) -> tuple[_Mask, _Mask]:
    shape = pixels.shape[:2]
    core, wide = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    # Only what is redder than blue can be orange; CIELAB of all other pixels is spared.
    reddish = cv2.subtract(pixels[..., 0], pixels[..., 2]) >= _MIN_RED_OVER_BLUE
    colours = pixels[reddish]
    if colours.size == 0:
        return core, wide
    lab = cv2.cvtColor(colours[None].astype(np.float32) / 255, cv2.COLOR_RGB2LAB)[0]
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue_deg = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    yellowest_deg = np.interp(red[reddish], _RED_LEVELS, _YELLOWEST_DEG)
    fullness = np.interp(chroma, _FULL_CHROMA, (0.0, 1.0))
    yellowest_deg += fullness * (_YELLOWEST_FULL_DEG - yellowest_deg)
    not_red = hue_deg >= _REDDEST_DEG
    core[reddish] = not_red & (hue_deg <= yellowest_deg) & (chroma >= _CORE_CHROMA)
    almost = hue_deg <= yellowest_deg + _WIDE_YELLOWER_DEG
    wide[reddish] = not_red & almost & (chroma >= _WIDE_CHROMA)
    return core, wide


def _around_core(wide: _Mask, core: _Mask) -> _Mask:
    """Keep what joins, and lies near, a piece of core that is larger than a speck of rust."""
    pieces = cv2.morphologyEx(core, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(pieces, connectivity=8)
    is_large = stats[:, cv2.CC_STAT_AREA] >= _MIN_CORE_FRAC * core.size
    is_large[0] = False
    seeds = is_large[labels].astype(np.uint8)
    near = cv2.bitwise_and(wide, cv2.dilate(seeds, np.ones((_REACH_PX, _REACH_PX), np.uint8)))
    count, labels, _, _ = cv2.connectedComponentsWithStats(near, connectivity=8)
    has_core = np.bincount(labels[seeds > 0], minlength=count) > 0
    has_core[0] = False
    mask: _Mask = has_core[labels].astype(np.uint8)
    return mask


def _ring(contour: cv2.typing.MatLike, width_px: int, height_px: int) -> Ring:
    tolerance_px = 1.5
    points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    while len(points) > MAX_POINTS_PER_AREA:
        tolerance_px *= 1.5
        points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    if len(points) < 3 or cv2.contourArea(points) < 1:
        left, top, width, height = cv2.boundingRect(contour)
        return rectangle(
            left / width_px, top / height_px, (left + width) / width_px, (top + height) / height_px
        ).rings[0]
    middles = (points.reshape(-1, 2).astype(np.float64) + 0.5) / (width_px, height_px)
    return tuple(Point(float(x), float(y)) for x, y in middles)
