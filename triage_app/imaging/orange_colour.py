"""Which pixels have the colour of HV cable, in CIELAB after a white balance from the picture.

*Core* pixels have a colour that little else under a car has; *wide* ones may be paler or yellower:
shade, dirt, highlights. docs/explanation/orange-areas.md says what was measured.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

# CIELAB hue angle: rust and copper lie below or are paler, label yellow lies above. Towards
# clipping, red stops to rise while green and blue still do, so bright orange looks yellower and
# paler than it is: the limit gives way where red is high, unless the colour is still full.
_REDDEST_DEG = 36.0
_RED_LEVELS, _YELLOWEST_DEG = (190.0, 250.0), (76.0, 94.0)
_FULL_CHROMA, _YELLOWEST_FULL_DEG = (60.0, 72.0), 74.0
_CORE_CHROMA, _WIDE_CHROMA = 42.0, 26.0
_WIDE_YELLOWER_DEG = 8.0  # highlights on a cable, taken in only where they join its core

# In the dark chroma falls with the light, but not in relation to it: HV orange keeps 1.2 or more
# of its lightness at any exposure, rust stays below 1.
_CORE_PER_LIGHTNESS, _CORE_LEAST_CHROMA = 1.1, 20.0
_WIDE_PER_LIGHTNESS, _WIDE_LEAST_CHROMA = 0.9, 14.0
_MIN_RED_OVER_BLUE = 16  # below this no colour can have the chroma asked for

# Beyond these the middle of the photo is not grey metal under a tinted lamp but a coloured thing.
_LAMP_TINTS = (0.6, 1.45)

Pixels = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.uint8]
Numbers = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Colours:
    """Masks (1 or 0) of one picture, and the lightness, chroma and hue of its reddish pixels.

    Where a pixel is not reddish, ``chroma`` and ``hue_deg`` are 0; ``lightness`` is 0 to 100.
    """

    core: Mask
    wide: Mask
    lightness: Numbers
    chroma: Numbers
    hue_deg: Numbers


def read_colours(pixels: Pixels) -> Colours:
    """Read the colours of sRGB pixels (height x width x 3)."""
    balanced, shape = _balanced(pixels), pixels.shape[:2]
    # Only what is redder than blue can be orange; the colour of all other pixels is spared.
    red, _, blue = cv2.split(balanced)
    reddish = np.flatnonzero(cv2.subtract(red, blue) >= _MIN_RED_OVER_BLUE)
    core, wide = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    chroma, hue_deg = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    grey: Numbers = cv2.cvtColor(balanced, cv2.COLOR_RGB2GRAY).astype(np.float32) / 2.55
    if reddish.size == 0:
        return Colours(core, wide, grey, chroma, hue_deg)
    colours = balanced.reshape(-1, 3)[reddish]
    lab = cv2.cvtColor(colours[None].astype(np.float32) / 255, cv2.COLOR_RGB2LAB)[0]
    full, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    yellowest_deg = np.interp(pixels.reshape(-1, 3)[reddish, 0], _RED_LEVELS, _YELLOWEST_DEG)
    fullness = np.interp(full, _FULL_CHROMA, (0.0, 1.0))
    yellowest_deg += fullness * (_YELLOWEST_FULL_DEG - yellowest_deg)
    not_red = hue >= _REDDEST_DEG
    per_lightness = full / np.maximum(lab[:, 0], 4.0)
    is_core = (full >= _CORE_CHROMA) | (
        (per_lightness >= _CORE_PER_LIGHTNESS) & (full >= _CORE_LEAST_CHROMA)
    )
    is_wide = (full >= _WIDE_CHROMA) | (
        (per_lightness >= _WIDE_PER_LIGHTNESS) & (full >= _WIDE_LEAST_CHROMA)
    )
    core.reshape(-1)[reddish] = not_red & (hue <= yellowest_deg) & is_core
    wide.reshape(-1)[reddish] = not_red & (hue <= yellowest_deg + _WIDE_YELLOWER_DEG) & is_wide
    chroma.reshape(-1)[reddish], hue_deg.reshape(-1)[reddish] = full, hue
    return Colours(core, wide, grey, chroma, hue_deg)


def _balanced(pixels: Pixels) -> Pixels:
    """Return the pixels under white light, taking most of an underside to be grey."""
    sample = pixels[::8, ::8].reshape(-1, 3).astype(np.float32)
    lit = sample[(sample.min(axis=1) > 20) & (sample.max(axis=1) < 240)]
    if lit.shape[0] < 100:
        return pixels
    red, blue = (float(np.median(lit[:, channel] / lit[:, 1])) for channel in (0, 2))
    if not all(_LAMP_TINTS[0] <= tint <= _LAMP_TINTS[1] for tint in (red, blue)):
        return pixels
    balanced: Pixels = cv2.LUT(pixels, _gains(1 / red, 1.0, 1 / blue)).astype(np.uint8)
    return balanced


def _gains(*gains: float) -> npt.NDArray[np.uint8]:
    levels = np.arange(256)[None, :, None] * np.array(gains)[None, None, :]
    table: npt.NDArray[np.uint8] = np.clip(np.rint(levels), 0, 255).astype(np.uint8)
    return table
