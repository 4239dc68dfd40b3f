"""Does a region of cable colour look like cable? Its shape and surface, weighed by a fitted table.

The table is a logistic regression over a dozen readings of the region, each of which a person can
picture. It was fitted on half of the scenes and negatives (``tests/orange``); a region is left out
only where it is very unlike, because a wrong dismissal is worse than a false proposal.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.imaging.orange_colour import Colours, Mask

_RING_PX = (3, 11)  # the surroundings of a region: from here to there beyond its border


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What is read of one region; lengths are relative to the picture, so the size is no matter."""

    log_area: float  # log10 of its share of the picture
    narrowness: float  # mean width / root of area: small for a strip, about 1 for a disc
    log_length: float  # log10 of length / picture diagonal
    unevenness: float  # spread of the width along its middle, relative
    raggedness: float  # border length / that of a smooth strip of this length and width
    hue_off_deg: float  # how far the mean hue is from that of cable
    hue_spread_deg: float
    chroma: float  # the fuller fifth of its pixels, / 100
    core_share: float
    roughness: float  # fine texture, relative to lightness
    chroma_step: float  # fall of chroma at the border, / 100
    warm_ring: float  # share of the surroundings that is of cable colour or nearly
    warm_picture: float  # the same of the whole picture
    cut_by_border: float  # share of its border that lies on the picture's border


_CABLE_HUE_DEG = 55.0

# Fitted by ``tests/orange/fit.py`` on the half to tune on; no weight was let point the wrong way
# (a longer region is never less like a cable). Readings without a weight did not help.
_WEIGHTS: dict[str, float] = {
    "log_area": 0.513,
    "narrowness": -3.18,
    "log_length": 1.24,
    "unevenness": -1.47,
    "raggedness": -0.533,
    "hue_off_deg": -0.0573,
    "hue_spread_deg": -0.0332,
    "roughness": -3.87,
    "chroma_step": 0.705,
    "warm_ring": -0.744,
    "warm_picture": -22.1,
}
_BIAS = 8.170

# No region over 0.2 % of a picture that is cable, on the half to tune on, lies below.
LEAST_LIKENESS = 0.08


def read_region(region: Mask, colours: Colours, origin: tuple[int, int]) -> Readings:
    """Read one region: ``region`` (1 or 0) is a cut of the picture from ``origin`` (y, x) on.

    The cut has room for the surroundings wherever the picture goes on.
    """
    height, width = region.shape
    y, x = origin
    here = (slice(y, y + height), slice(x, x + width))
    inside = region > 0
    picture = colours.wide.shape
    area = float(inside.sum())
    breadth, unevenness = _breadth(region)
    length = area / breadth
    chroma, hue = colours.chroma[here], colours.hue_deg[here]
    hues = hue[inside & (chroma > 0)]
    ring = _ring(region)
    border, cut = _border(region, here, picture)
    return Readings(
        log_area=float(np.log10(area / (picture[0] * picture[1]))),
        narrowness=breadth / area**0.5,
        log_length=float(np.log10(length / np.hypot(*picture))),
        unevenness=unevenness,
        raggedness=border / (2 * (length + breadth)),
        hue_off_deg=abs(float(hues.mean()) - _CABLE_HUE_DEG) if hues.size else 90.0,
        hue_spread_deg=float(hues.std()) if hues.size else 0.0,
        chroma=float(np.quantile(chroma[inside], 0.8)) / 100,
        core_share=float(colours.core[here][inside].mean()),
        roughness=_roughness(colours.lightness[here], region),
        chroma_step=(float(np.median(chroma[inside])) - _median(chroma[ring])) / 100,
        warm_ring=float((chroma[ring] > _NEARLY_CHROMA).mean()) if ring.any() else 1.0,
        warm_picture=float(colours.wide.mean()),
        cut_by_border=cut,
    )


_NEARLY_CHROMA = 18.0
_MIN_INSIDE_PX, _SMOOTH = 60, 0.01


def _breadth(region: Mask) -> tuple[float, float]:
    """Return the mean width in px and how uneven it is along the middle."""
    padded = np.pad(region, 1)
    away = cv2.distanceTransform(padded, cv2.DIST_L2, 3)
    ridge = away[(away >= cv2.dilate(away, np.ones((3, 3), np.uint8))) & (padded > 0)]
    inner = away[padded > 0]
    breadth = max(4 * float(inner.mean()) - 1, 1.0)  # a strip w wide has a mean of (w + 1) / 4
    return breadth, float(ridge.std() / ridge.mean())


def _ring(region: Mask) -> npt.NDArray[np.bool_]:
    near, far = (cv2.dilate(region, np.ones((2 * by + 1, 2 * by + 1), np.uint8)) for by in _RING_PX)
    ring: npt.NDArray[np.bool_] = (far > 0) & (near == 0)
    return ring


def _border(
    region: Mask, here: tuple[slice, slice], picture: tuple[int, ...]
) -> tuple[float, float]:
    """Return the length of the border in px, and the share that lies on the picture's border."""
    contours, _ = cv2.findContours(region, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    length = sum(cv2.arcLength(contour, closed=True) for contour in contours)
    on_border = 0
    for index, side in ((0, here[0]), (1, here[1])):
        ends = region if index == 0 else region.T
        on_border += int(ends[0].sum()) if side.start == 0 else 0
        on_border += int(ends[-1].sum()) if side.stop == picture[index] else 0
    return max(length, 1.0), min(on_border / max(length, 1.0), 1.0)


def _roughness(lightness: npt.NDArray[np.float32], region: Mask) -> float:
    # Away from its border, which is an edge of its own; a thin region gets the benefit of doubt.
    inner = cv2.erode(region, np.ones((9, 9), np.uint8), borderValue=1) > 0
    if inner.sum() < _MIN_INSIDE_PX:
        return _SMOOTH
    fine = lightness - cv2.GaussianBlur(lightness, (0, 0), 2.0)
    return float(np.abs(fine[inner]).mean() / max(float(lightness[inner].mean()), 1.0))


def _median(values: npt.NDArray[np.float32]) -> float:
    return float(np.median(values)) if values.size else 0.0


def likeness(readings: Readings) -> float:
    """Return how much a region looks like cable, 0 to 1; 0.5 is as like as not."""
    weighed = _BIAS + sum(
        weight * float(getattr(readings, name)) for name, weight in _WEIGHTS.items()
    )
    return 1 / (1 + math.exp(-weighed))
