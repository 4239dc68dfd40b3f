"""Is the damage itself sharp, lit and large enough? Judged inside a mark, at full resolution.

A photo may be sharp in the wrong place. What is marked is cut out of the whole photo and judged
at the size in which a reader can look at it. docs/explanation/photo-quality.md has the figures.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Bounds, Outline, bounds
from triage_app.imaging.sharpness import edge_blur_px

MAX_BLUR_PX = 2.3
MIN_MARK_PX = 120
MIN_BRIGHTNESS, MAX_BRIGHTNESS = 0.08, 0.88
MAX_CLIPPED_DARK_FRAC, MAX_CLIPPED_BRIGHT_FRAC = 0.5, 0.25

_SIDE_PX = 1_600  # a larger cut is judged at this size: nobody sees more of it at once
_ROOM_FRAC = 0.15  # edges just around the damage tell of its sharpness too
_LEAST_EDGES = 100  # a cut is smaller than a photo
_DARK_LEVEL, _BRIGHT_LEVEL = 4, 251

_Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkQuality:
    """What the pixels inside one mark say. ``complaints`` are sentences asking for a retake.

    ``longest_side_px`` is of the mark in the whole photo; ``blur_px`` (Gaussian sigma) is None
    where there are too few edges to tell.
    """

    longest_side_px: int
    blur_px: float | None
    mean_brightness: float
    clipped_dark_frac: float
    clipped_bright_frac: float
    complaints: tuple[str, ...]


def judge_mark(pixels: _Pixels, outline: Outline) -> MarkQuality:
    """Judge what ``outline`` encloses of a whole upright photo (sRGB, height x width x 3)."""
    height_px, width_px = pixels.shape[:2]
    box = bounds(outline, width_px, height_px)
    longest_px = round(max((box.right - box.left) * width_px, (box.bottom - box.top) * height_px))
    grey = cv2.cvtColor(_reduced(_cut(pixels, box)), cv2.COLOR_RGB2GRAY)
    blur_px = edge_blur_px(grey.astype(np.float32), least_edges=_LEAST_EDGES)
    brightness = float(grey.mean()) / 255
    dark_frac = float((grey <= _DARK_LEVEL).mean())
    bright_frac = float((grey >= _BRIGHT_LEVEL).mean())
    return MarkQuality(
        longest_side_px=longest_px,
        blur_px=None if blur_px is None else round(blur_px, 2),
        mean_brightness=round(brightness, 4),
        clipped_dark_frac=round(dark_frac, 4),
        clipped_bright_frac=round(bright_frac, 4),
        complaints=(
            *_size(longest_px),
            *_blur(blur_px),
            *_exposure(brightness, dark_frac, bright_frac),
        ),
    )


def _cut(pixels: _Pixels, box: Bounds) -> _Pixels:
    height_px, width_px = pixels.shape[:2]
    room_x, room_y = _ROOM_FRAC * (box.right - box.left), _ROOM_FRAC * (box.bottom - box.top)
    left, right = (box.left - room_x) * width_px, (box.right + room_x) * width_px
    top, bottom = (box.top - room_y) * height_px, (box.bottom + room_y) * height_px
    return pixels[
        max(0, int(top)) : max(int(bottom) + 1, 1), max(0, int(left)) : max(int(right) + 1, 1)
    ]


def _reduced(cut: _Pixels) -> _Pixels:
    scale = _SIDE_PX / max(cut.shape[:2])
    if scale >= 1:
        return np.ascontiguousarray(cut)
    size = (max(1, round(cut.shape[1] * scale)), max(1, round(cut.shape[0] * scale)))
    return cv2.resize(cut, size, interpolation=cv2.INTER_AREA).astype(np.uint8, copy=False)


def _size(longest_px: int) -> tuple[str, ...]:
    if longest_px >= MIN_MARK_PX:
        return ()
    return (f"The damage is only {longest_px} pixels long here; take a close-up of it.",)


def _blur(blur_px: float | None) -> tuple[str, ...]:
    if blur_px is None or blur_px <= MAX_BLUR_PX:
        return ()
    return ("The damage is blurred; tap on it to focus, hold still, and take it again.",)


def _exposure(brightness: float, dark_frac: float, bright_frac: float) -> tuple[str, ...]:
    if brightness < MIN_BRIGHTNESS or dark_frac > MAX_CLIPPED_DARK_FRAC:
        return ("The damage is too dark; put light on it and take it again.",)
    if brightness > MAX_BRIGHTNESS or bright_frac > MAX_CLIPPED_BRIGHT_FRAC:
        return ("The damage is lost in glare; move the lamp and take it again.",)
    return ()
