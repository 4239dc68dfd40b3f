"""Is the photo sharp and well lit? Judged while the car is still on the lift.

A complaint asks for a retake and keeps nobody from using the photo.
docs/explanation/photo-quality.md says what was measured.
"""

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.case import PhotoQuality
from triage_app.imaging.sharpness import SHARP_BLUR_PX, edge_blur_px

MIN_SHARPNESS = 1 / SHARP_BLUR_PX
MIN_BRIGHTNESS = 0.12
MAX_BRIGHTNESS = 0.85
MAX_CLIPPED_DARK_FRAC = 0.5
MAX_CLIPPED_BRIGHT_FRAC = 0.25
MIN_SIDE_PX = 1_000

_DARK_LEVEL, _BRIGHT_LEVEL = 4, 251


def judge_quality(pixels: npt.NDArray[np.uint8], *, longest_side_px: int) -> PhotoQuality:
    """Judge upright sRGB pixels (height x width x 3); ``longest_side_px`` is the whole photo's.

    ``sharpness`` is 1 / blur of the edges in px, 0 when there are none; ``mean_brightness`` is
    0 (black) to 1 (white).
    """
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    blur_px = edge_blur_px(grey.astype(np.float32))
    sharpness = 0.0 if blur_px is None else 1 / blur_px
    brightness = float(grey.mean()) / 255
    dark_frac = float((grey <= _DARK_LEVEL).mean())
    bright_frac = float((grey >= _BRIGHT_LEVEL).mean())
    complaints = (
        *_exposure_complaints(brightness, dark_frac, bright_frac),
        *_sharpness_complaints(sharpness),
        *_size_complaints(longest_side_px),
    )
    return PhotoQuality(
        sharpness=round(sharpness, 3),
        mean_brightness=round(brightness, 4),
        clipped_dark_frac=round(dark_frac, 4),
        clipped_bright_frac=round(bright_frac, 4),
        complaints=complaints,
    )


def _sharpness_complaints(sharpness: float) -> tuple[str, ...]:
    if sharpness == 0:
        return ("The photo shows no detail; take it again and check that the lens is clean.",)
    if sharpness < MIN_SHARPNESS:
        return ("The photo is blurred; take it again and hold still, or rest the phone.",)
    return ()


def _exposure_complaints(
    brightness: float, dark_frac: float, bright_frac: float
) -> tuple[str, ...]:
    if brightness < MIN_BRIGHTNESS or dark_frac > MAX_CLIPPED_DARK_FRAC:
        return ("The photo is too dark; take it again with more light.",)
    if brightness > MAX_BRIGHTNESS or bright_frac > MAX_CLIPPED_BRIGHT_FRAC:
        return ("The photo is too bright; take it again with less glare.",)
    return ()


def _size_complaints(longest_side_px: int) -> tuple[str, ...]:
    if longest_side_px < MIN_SIDE_PX:
        return (
            f"The photo is only {longest_side_px} pixels long; "
            "send the original from the phone, not a copy from a chat.",
        )
    return ()
