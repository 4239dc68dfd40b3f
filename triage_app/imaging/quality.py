"""Is the photo sharp and well lit? Judged while the car is still on the lift.

Sharpness is told by the width of edges, not by how much texture there is. Where a step edge is
blurred by a Gaussian of s px, its gradient after a further blur of t px falls as
1 / sqrt(s^2 + t^2); the ratio at two values of t gives s, whatever the height of the edge. Shake
blurs only the edges that lie across it, so edges are sorted by direction and the worst counts.
"""

import math

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.case import PhotoQuality

_FINE_PX, _COARSE_PX = 1.0, 2.5
_DIRECTIONS = 8
_EDGE_SHARE = 0.03  # the strongest gradients, taken to be edges
_MIN_EDGE_GREY = 1.0  # grey levels per pixel; fainter than this is noise
_MIN_EDGES = 300  # a direction with fewer edge pixels says nothing
_MAX_BLUR_PX, _MIN_BLUR_PX = 20.0, 0.4

MIN_SHARPNESS = 0.5
MIN_BRIGHTNESS = 0.12
MAX_BRIGHTNESS = 0.85
MAX_CLIPPED_DARK_FRAC = 0.5
MAX_CLIPPED_BRIGHT_FRAC = 0.25
MIN_SIDE_PX = 1_000

_Grey = npt.NDArray[np.float32]


def judge_quality(pixels: npt.NDArray[np.uint8], *, longest_side_px: int) -> PhotoQuality:
    """Judge upright sRGB pixels (height x width x 3); ``longest_side_px`` is the whole photo's."""
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    blur_px = edge_blur_px(grey.astype(np.float32))
    sharpness = 1.0 / (blur_px if blur_px is not None else _MAX_BLUR_PX)
    brightness = float(grey.mean()) / 255
    dark_frac = float((grey <= 4).mean())
    bright_frac = float((grey >= 251).mean())
    complaints = (
        *_exposure_complaints(brightness, dark_frac, bright_frac),
        *_sharpness_complaints(blur_px),
        *_size_complaints(longest_side_px),
    )
    return PhotoQuality(
        sharpness=round(sharpness, 3),
        mean_brightness=round(brightness, 4),
        clipped_dark_frac=round(dark_frac, 4),
        clipped_bright_frac=round(bright_frac, 4),
        complaints=complaints,
    )


def edge_blur_px(grey: _Grey) -> float | None:
    """Return the blur (Gaussian sigma, px) of edges in the worst direction; None without edges."""
    coarse_x, coarse_y = _gradient(grey, _COARSE_PX)
    coarse = cv2.magnitude(coarse_x, coarse_y)
    strong = float(np.quantile(coarse[::2, ::2], 1 - _EDGE_SHARE))
    is_edge = coarse > max(strong, _MIN_EDGE_GREY)
    fine_x, fine_y = _gradient(grey, _FINE_PX)
    ratio = np.hypot(fine_x[is_edge], fine_y[is_edge]) / coarse[is_edge]
    turn = np.arctan2(coarse_y[is_edge], coarse_x[is_edge]) / np.pi
    direction = np.rint(turn * _DIRECTIONS).astype(np.int64) % _DIRECTIONS
    blurs = []
    for which in range(_DIRECTIONS):
        ratios = ratio[direction == which]
        if ratios.size >= _MIN_EDGES:
            # The upper quartile: a sharp subject before a soft background is a sharp photo.
            blurs.append(_blur_px(float(np.quantile(ratios, 0.75))))
    return max(blurs) if blurs else None


def _gradient(grey: _Grey, blur_px: float) -> tuple[_Grey, _Grey]:
    soft = cv2.GaussianBlur(grey, (0, 0), blur_px)
    along_x = cv2.Sobel(soft, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)
    along_y = cv2.Sobel(soft, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)
    return along_x.astype(np.float32), along_y.astype(np.float32)


def _blur_px(ratio: float) -> float:
    squared = ratio * ratio
    if squared <= 1.001:
        return _MAX_BLUR_PX
    blur_squared = (_COARSE_PX**2 - squared * _FINE_PX**2) / (squared - 1)
    return min(math.sqrt(max(blur_squared, _MIN_BLUR_PX**2)), _MAX_BLUR_PX)


def _sharpness_complaints(blur_px: float | None) -> tuple[str, ...]:
    if blur_px is None:
        return ("The photo shows no detail; take it again, nearer and with the lens clean.",)
    if 1 / blur_px < MIN_SHARPNESS:
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
