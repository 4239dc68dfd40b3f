"""Finds printed scale cards in a photo and measures every border of their black squares.

The marker's corners say where it is; its 40 or so borders between black and white then say it
much better, and tell how far the camera's tone curve and sharpening have moved every border
towards the black: black squares look too small while white ones within them look too large.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.imaging.card_design import CARD_OF, CELLS, DICTIONARY, edges

Floats = npt.NDArray[np.float64]

Light = npt.NDArray[np.float32]

_CODES = np.arange(256) / 255.0
_LINEAR = np.where(_CODES <= 0.04045, _CODES / 12.92, ((_CODES + 0.055) / 1.055) ** 2.4).astype(
    np.float32
)

# Markers are looked for on a copy of this size; a second look at twice that finds small ones.
_LOOK_PX = (2_000, 4_000)
_SAMPLES_ALONG = 9
_LONGEST_REACH_PX = 14.0
_STEP_PX = 0.25
_LEAST_CONTRAST = 0.06  # of the linear light from black to white


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenMarker:
    """A marker in upright pixels, counted from the edge of the first pixel.

    ``corners_px`` (4, 2) from its own top left, clockwise as printed.
    """

    id: int
    corners_px: Floats

    @property
    def cell_px(self) -> float:
        """The mean length of one cell in pixels."""
        sides = np.linalg.norm(self.corners_px - np.roll(self.corners_px, -1, axis=0), axis=1)
        return float(sides.mean()) / CELLS


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenEdges:
    """Borders that could be measured: where each was expected (cells) and where it was seen.

    ``at_cells`` (n, 2) in the marker's own frame; ``seen_px``, ``along`` (n, 2); ``noise_px`` (n,).
    """

    at_cells: Floats
    seen_px: Floats
    along: Floats
    noise_px: Floats


def find_markers(grey: npt.NDArray[np.uint8]) -> list[SeenMarker]:
    """Return the markers of scale cards in an upright grey photo, in order of their number."""
    longest_px = max(grey.shape)
    for look_px in _LOOK_PX:
        factor = min(1.0, look_px / longest_px)
        found = _detected(grey, factor)
        if found or factor == 1.0:
            return found
    return []


def is_mirrored(grey: npt.NDArray[np.uint8]) -> bool:
    """Tell whether a photo without markers shows them once it is mirrored."""
    return bool(find_markers(np.ascontiguousarray(grey[:, ::-1])))


def _detected(grey: npt.NDArray[np.uint8], factor: float) -> list[SeenMarker]:
    small = grey if factor == 1.0 else cv2.resize(
        grey, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA
    )  # fmt: skip
    scale = np.array([grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]])
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(small)
    if not corners:
        return []
    seen = [
        # OpenCV counts from the middle of the first pixel, we from its edge.
        SeenMarker(id=int(number), corners_px=(each.reshape(4, 2).astype(np.float64) + 0.5) * scale)
        for each, number in zip(corners, np.asarray(ids).ravel(), strict=True)
        if int(number) in CARD_OF
    ]
    return sorted(seen, key=lambda marker: marker.id)


def corner_homography(corners_px: Floats) -> Floats:
    """Return the homography (3, 3) from cells of a marker to pixels, by its corners (4, 2)."""
    cells = np.array([[0, 0], [CELLS, 0], [CELLS, CELLS], [0, CELLS]], dtype=np.float32)
    return np.asarray(cv2.getPerspectiveTransform(cells, corners_px.astype(np.float32)))


def light_around(rgb: npt.NDArray[np.uint8], corners_px: Floats) -> tuple[Light, Floats]:
    """Return the linear light around a marker, and the pixel of its top left corner (2,).

    sRGB is undone (IEC 61966-2-1) and the colours weighed as ITU-R BT.709 does, because optics
    blur light and not code values.
    """
    margin = np.ptp(corners_px, axis=0).max() / CELLS + _LONGEST_REACH_PX
    size = np.array([rgb.shape[1], rgb.shape[0]])
    low = np.clip(np.floor(corners_px.min(0) - margin), 0, size).astype(int)
    high = np.clip(np.ceil(corners_px.max(0) + margin), 0, size).astype(int)
    cut = rgb[low[1] : high[1], low[0] : high[0]]
    light = _LINEAR[cut] @ np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
    return light, low.astype(np.float64)


def measure_edges(light: Light, marker_id: int, to_px: Floats) -> SeenEdges:
    """Measure the borders of one marker in linear ``light``, near where ``to_px`` expects them.

    ``to_px`` (3, 3) goes from the marker's cells to upright pixels.
    """
    known = edges(marker_id)
    share = np.linspace(0.2, 0.8, _SAMPLES_ALONG)
    at = known.start[:, None] + (known.end - known.start)[:, None] * share[None, :, None]
    base_px = moved(to_px, at)
    # Normal to the border *in the photo*; towards the white side.
    ends = moved(to_px, np.stack([known.start, known.end], axis=1))
    run = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(run, axis=1)
    normal = np.stack([-run[:, 1], run[:, 0]], axis=1) / length[:, None]
    white = moved(to_px, at[:, 4] + 0.1 * known.to_white) - base_px[:, 4]
    depth = np.sum(normal * white, axis=1)
    normal *= np.sign(depth)[:, None]
    # A profile may run 0.45 of a cell to either side before it meets the next border.
    reach = np.minimum(0.45 * np.abs(depth) * 10, _LONGEST_REACH_PX)
    offset, spread, good = _crossings(light, base_px, normal, reach)
    kept = good & (reach >= 1.5)
    middle = base_px[:, _SAMPLES_ALONG // 2]
    return SeenEdges(
        at_cells=at[kept, _SAMPLES_ALONG // 2],
        seen_px=(middle + normal * offset[:, None])[kept],
        along=normal[kept],
        noise_px=spread[kept],
    )


def _crossings(
    light: Light, base_px: Floats, normal: Floats, reach: Floats
) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    """Return for each border its mean offset along the normal, its noise, and whether it is good.

    The border is where the light passes half way between its black and its white side.
    """
    steps = int(2 * _LONGEST_REACH_PX / _STEP_PX) | 1
    unit = np.linspace(-1.0, 1.0, steps)
    along = reach[:, None, None] * unit[None, None, :]
    points = base_px[:, :, None, :] + normal[:, None, None, :] * along[..., None]
    profile = _sampled(light, points)
    sixth = steps // 6
    black, white = profile[..., :sixth].mean(-1), profile[..., -sixth:].mean(-1)
    half = (profile - ((black + white) / 2)[..., None]) > 0
    # The crossing nearest to the middle of the profile.
    crosses = half[..., 1:] & ~half[..., :-1]
    away = np.where(crosses, np.abs(unit[1:] + unit[:-1]), np.inf)
    index = away.argmin(-1)
    low = np.take_along_axis(profile, index[..., None], -1)[..., 0]
    high = np.take_along_axis(profile, index[..., None] + 1, -1)[..., 0]
    level = (black + white) / 2
    part = (level - low) / np.maximum(high - low, 1e-6)
    at = (unit[index] + part * (unit[1] - unit[0])) * reach[:, None]
    usable = crosses.any(-1) & (white - black > _LEAST_CONTRAST)
    number = usable.sum(-1)
    weights = usable / np.maximum(number, 1)[:, None]
    mean = (at * weights).sum(-1)
    spread = np.sqrt((weights * (at - mean[:, None]) ** 2).sum(-1))
    good = number >= _SAMPLES_ALONG - 2
    return mean, spread, good


def _sampled(light: Light, points_px: Floats) -> Floats:
    """Return the light at points counted from the edge of the first pixel; 0 outside."""
    shape = points_px.shape[:-1]
    flat = points_px.reshape(-1, 2) - 0.5
    left, top = np.floor(flat.min(0)).astype(int) - 2
    right, bottom = np.ceil(flat.max(0)).astype(int) + 3
    left, top = max(left, 0), max(top, 0)
    cut = np.ascontiguousarray(light[top:bottom, left:right])
    if cut.size == 0:
        return np.zeros(shape)
    # remap takes at most 32,767 columns or rows, hence the square shape.
    columns = int(np.ceil(np.sqrt(len(flat))))
    padded = np.zeros((columns * columns, 2), dtype=np.float32)
    padded[: len(flat)] = flat - (left, top)
    grid = padded.reshape(columns, columns, 2)
    values = cv2.remap(
        cut, grid[..., 0], grid[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT
    )
    return np.asarray(values, dtype=np.float64).ravel()[: len(flat)].reshape(shape)


def moved(to_px: Floats, cells: Floats) -> Floats:
    """Return points (..., 2) moved by a homography (3, 3)."""
    x, y = cells[..., 0], cells[..., 1]
    scale = to_px[2, 0] * x + to_px[2, 1] * y + to_px[2, 2]
    return np.stack(
        [
            (to_px[0, 0] * x + to_px[0, 1] * y + to_px[0, 2]) / scale,
            (to_px[1, 0] * x + to_px[1, 1] * y + to_px[1, 2]) / scale,
        ],
        axis=-1,
    )
