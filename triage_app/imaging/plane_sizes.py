"""Length, width, area and gaps of outlines in the plane of a scale, each with its interval.

Which two points of an outline are farthest apart, and so on, is settled once, in the fitted
version of the plane; their distance is then worked out in every version.

Off the plane: what lies a depth ``d`` behind it, seen by a camera at height ``h``, reads short by
``d / (h + d)`` (pinhole geometry). Intervals are widened for it on the side where it matters.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.errors import NoScaleError
from triage_app.domain.measuring import MeasuredMm, MeasuredMm2
from triage_app.imaging.plane import STEEPEST_DEG, Camera, Plane

Floats = npt.NDArray[np.float64]

NORMAL_95 = 1.96
# A card of paper or plastic lies this far before the surface that it is laid on.
CARD_THICKNESS_MM = 1.0
# Beyond this share of the value a size says nothing that is worth writing down. Judgement.
WORST_SHARE = 0.25
_DEPTH_STEPS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """How far a surface may lie behind, and before, the plane of the scale, in mm."""

    behind_mm: float
    before_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineSizes:
    """Length: the greatest extent. Width: the least extent across. Area: as outlined."""

    length: MeasuredMm
    width: MeasuredMm
    area: MeasuredMm2


def distance(plane: Plane, ends_px: Floats, depth: Depth) -> MeasuredMm:
    """Return the distance of two points (2, 2) of the photo; raises NoScaleError."""
    moved = _with_pointing(plane, ends_px)
    _check_view(plane, moved[0])
    values = np.linalg.norm(moved[:, 0] - moved[:, 1], axis=1)
    return _check_share(_measured_mm(plane, values, depth))


def outline_sizes(plane: Plane, rings_px: Sequence[Floats], depth: Depth) -> OutlineSizes:
    """Return the sizes of one outline, first ring its border, others holes; raises NoScaleError."""
    border_px = rings_px[0]
    flat = plane.to_mm(border_px)
    _check_view(plane, flat[0])
    hull = cv2.convexHull(flat[0].astype(np.float32), returnPoints=False).ravel()
    one, other = _farthest(flat[0], hull)
    length = distance(plane, border_px[[one, other]], depth)
    width = _width(plane, border_px[_narrowest(flat[0], hull)], depth)
    area = _area(plane, rings_px, depth)
    return OutlineSizes(length=length, width=width, area=area)


def gap(plane: Plane, one: Sequence[Floats], other: Sequence[Floats], depth: Depth) -> MeasuredMm:
    """Return the shortest way between two outlines (lists of rings) that lie in the plane.

    With ``depth``, either may lie off the plane; the ends of the interval are then the least and
    most that any such pair of depths gives, by where the camera stood. Raises NoScaleError.
    """
    flat_one = [plane.to_mm(ring)[0] for ring in one]
    flat_other = [plane.to_mm(ring)[0] for ring in other]
    for ring in (*flat_one, *flat_other):
        _check_view(plane, ring)
    found = _nearest(flat_one, flat_other)
    ends_px = np.stack([_on_photo(found.on_one, one), _on_photo(found.on_other, other)])
    standard = _way_standard(_with_pointing(plane, ends_px), touching=found.gap_mm == 0.0)
    low, high = _over_depths(plane.camera, flat_one, flat_other, depth, found.gap_mm)
    reach = NORMAL_95 * standard
    return MeasuredMm(
        value_mm=found.gap_mm,
        standard_mm=standard,
        low_mm=max(0.0, low - reach) * plane.spread[0],
        high_mm=(high + reach) * plane.spread[1],
    )


def _way_standard(moved: Floats, *, touching: bool) -> float:
    ways = moved[:, 0] - moved[:, 1]
    if touching:  # no direction is the way itself, so all count
        return float(np.linalg.norm((ways[1::2] - ways[2::2]) / 2))
    # Along the way only: a move across it changes its length by next to nothing.
    return _combined(ways @ (ways[0] / np.linalg.norm(ways[0])))[1]


def _combined(values: Floats) -> tuple[float, float]:
    """Return value and standard uncertainty from a value in every version: fit, then pairs."""
    more, less = values[1::2], values[2::2]
    bend = (more + less) / 2 - values[0]
    variance = np.sum(((more - less) / 2) ** 2) + np.sum(bend**2) / 2
    return float(values[0]), float(np.sqrt(variance))


def _with_pointing(plane: Plane, points_px: Floats) -> Floats:
    """Return points in every version, then with each coordinate pointed at a bit off: (w, n, 2)."""
    offs = np.zeros((4 * len(points_px), *points_px.shape))
    for index in range(2 * len(points_px)):
        point, axis = divmod(index, 2)
        offs[2 * index, point, axis] = plane.pointing_px
        offs[2 * index + 1, point, axis] = -plane.pointing_px
    shaken = (points_px[None] + offs).reshape(-1, 2)
    pointed = plane.to_mm(shaken)[0].reshape(len(offs), *points_px.shape)
    return np.concatenate([plane.to_mm(points_px), pointed])


def _measured_mm(plane: Plane, values: Floats, depth: Depth) -> MeasuredMm:
    value, standard = _combined(values)
    shorter, longer = _off_plane(plane, depth)
    reach = NORMAL_95 * standard
    return MeasuredMm(
        value_mm=value,
        standard_mm=standard,
        low_mm=max(0.0, value - reach) * shorter,
        high_mm=(value + reach) * longer,
    )


def _off_plane(plane: Plane, depth: Depth) -> tuple[float, float]:
    """Return by how much a length may be shorter, and longer, than it reads in the plane."""
    if plane.camera is None:
        return plane.spread
    height_mm = plane.camera.nearest_mm
    behind_mm = depth.behind_mm + CARD_THICKNESS_MM
    shorter = max(0.0, 1.0 - depth.before_mm / height_mm)
    return shorter * plane.spread[0], (1.0 + behind_mm / height_mm) * plane.spread[1]


def _width(plane: Plane, corners_px: Floats, depth: Depth) -> MeasuredMm:
    """Return how far the third point lies from the line through the first two."""
    moved = _with_pointing(plane, corners_px)
    along = moved[:, 1] - moved[:, 0]
    to = moved[:, 2] - moved[:, 0]
    across = along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0]
    return _measured_mm(plane, np.abs(across) / np.linalg.norm(along, axis=1), depth)


def _area(plane: Plane, rings_px: Sequence[Floats], depth: Depth) -> MeasuredMm2:
    values, edge = np.zeros(len(plane.size)), 0.0
    for index, ring in enumerate(rings_px):
        flat = plane.to_mm(ring)
        values += np.abs(_signed_area(flat)) * (1.0 if index == 0 else -1.0)
        edge += float(np.linalg.norm(flat[0] - np.roll(flat[0], -1, axis=0), axis=1).sum())
    value, standard = _combined(values)
    # A person draws all of an outline a little wide, or all of it a little tight.
    per_px = np.sqrt(max(value, 1e-9) / max(_px_area(rings_px), 1e-9))
    standard = float(np.hypot(standard, edge * plane.pointing_px * per_px / 2))
    shorter, longer = _off_plane(plane, depth)
    reach = NORMAL_95 * standard
    return MeasuredMm2(
        value_mm2=value,
        standard_mm2=standard,
        low_mm2=max(0.0, value - reach) * shorter**2,
        high_mm2=(value + reach) * longer**2,
    )


def _px_area(rings_px: Sequence[Floats]) -> float:
    areas = [float(np.abs(_signed_area(ring[None]))[0]) for ring in rings_px]
    return areas[0] - sum(areas[1:])


def _signed_area(flat: Floats) -> Floats:
    x, y = flat[..., 0], flat[..., 1]
    ahead_x, ahead_y = np.roll(x, -1, axis=-1), np.roll(y, -1, axis=-1)
    return np.asarray(np.sum(x * ahead_y - ahead_x * y, axis=-1) / 2)


def _check_share(measured: MeasuredMm) -> MeasuredMm:
    # Of a length only: a thin scratch has a width that nobody can outline, and a good length.
    if measured.standard_mm > WORST_SHARE * measured.value_mm and measured.standard_mm > 2.0:
        raise NoScaleError(
            "The scale is too far away, or too small in this photo, to measure here. Take a photo "
            "with a card beside the damage."
        )
    return measured


def _check_view(plane: Plane, flat_mm: Floats) -> None:
    if plane.steepest_deg(flat_mm) > STEEPEST_DEG:
        raise NoScaleError(
            "The plane of the scale is seen too flat at this mark. Take the photo more from "
            "straight below."
        )


def _farthest(flat: Floats, hull: npt.NDArray[np.int32]) -> tuple[int, int]:
    points = flat[hull]
    apart = np.linalg.norm(points[:, None] - points[None], axis=2)
    one, other = np.unravel_index(int(apart.argmax()), apart.shape)
    return int(hull[one]), int(hull[other])


def _narrowest(flat: Floats, hull: npt.NDArray[np.int32]) -> list[int]:
    """Return the side of the hull, and the point farthest from it, between which it is narrow."""
    points, ahead = flat[hull], flat[np.roll(hull, -1)]
    along = ahead - points
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    to = points[None] - points[:, None]
    across = np.abs(along[:, None, 0] * to[..., 1] - along[:, None, 1] * to[..., 0])
    side = int(across.max(axis=1).argmin())
    return [int(hull[side]), int(np.roll(hull, -1)[side]), int(hull[across[side].argmax()])]


@dataclass(frozen=True, slots=True)
class _Way:
    """The shortest way: on each outline the ring, the side and the share along it."""

    gap_mm: float
    on_one: tuple[int, int, float]
    on_other: tuple[int, int, float]


def _nearest(one: Sequence[Floats], other: Sequence[Floats]) -> _Way:
    best = _Way(float("inf"), (0, 0, 0.0), (0, 0, 0.0))
    for i, ring in enumerate(one):
        for j, against in enumerate(other):
            if _inside(other, ring[0]) or _inside(one, against[0]) or _cross(ring, against):
                return _Way(0.0, (i, 0, 0.0), (j, 0, 0.0))
            gap_mm, corner, side, share = _corner_to_side(ring, against)
            if gap_mm < best.gap_mm:
                best = _Way(gap_mm, (i, corner, 0.0), (j, side, share))
            gap_mm, corner, side, share = _corner_to_side(against, ring)
            if gap_mm < best.gap_mm:
                best = _Way(gap_mm, (i, side, share), (j, corner, 0.0))
    return best


def _corner_to_side(corners: Floats, ring: Floats) -> tuple[float, int, int, float]:
    start, run = ring, np.roll(ring, -1, axis=0) - ring
    to = corners[:, None] - start[None]
    square = np.maximum(np.sum(run**2, axis=1), 1e-18)
    share = np.clip(np.sum(to * run[None], axis=2) / square, 0.0, 1.0)
    apart = np.linalg.norm(to - share[..., None] * run[None], axis=2)
    corner, side = np.unravel_index(int(apart.argmin()), apart.shape)
    return float(apart[corner, side]), int(corner), int(side), float(share[corner, side])


def _cross(ring: Floats, other: Floats) -> bool:
    a, b = ring[:, None], np.roll(ring, -1, axis=0)[:, None]
    c, d = other[None], np.roll(other, -1, axis=0)[None]

    def turn(p: Floats, q: Floats, r: Floats) -> Floats:
        ahead, to = q - p, r - p
        return np.asarray(ahead[..., 0] * to[..., 1] - ahead[..., 1] * to[..., 0])

    crossed = (turn(a, b, c) * turn(a, b, d) < 0) & (turn(c, d, a) * turn(c, d, b) < 0)
    return bool(crossed.any())


def _inside(rings: Sequence[Floats], point: Floats) -> bool:
    crossings = 0
    for ring in rings:
        ahead = np.roll(ring, -1, axis=0)
        spans = (ring[:, 1] > point[1]) != (ahead[:, 1] > point[1])
        rise = np.where(spans, ahead[:, 1] - ring[:, 1], 1.0)
        at = ring[:, 0] + (point[1] - ring[:, 1]) / rise * (ahead[:, 0] - ring[:, 0])
        crossings += int(np.count_nonzero(spans & (point[0] < at)))
    return crossings % 2 == 1


def _on_photo(place: tuple[int, int, float], rings_px: Sequence[Floats]) -> Floats:
    # The share along a side differs a little between plane and photo; the way at it hardly does.
    ring, side, share = place
    start_px, end_px = rings_px[ring][side], np.roll(rings_px[ring], -1, axis=0)[side]
    return np.asarray(start_px + share * (end_px - start_px))


def _over_depths(
    camera: Camera | None,
    one: Sequence[Floats],
    other: Sequence[Floats],
    depth: Depth,
    gap_mm: float,
) -> tuple[float, float]:
    """Return the least and the greatest distance over all depths that either outline may have.

    The least leaves the difference of the depths out, so that it stays below every distance that
    lies between the steps too.
    """
    if camera is None:
        return gap_mm, gap_mm
    depths = np.linspace(-depth.before_mm, depth.behind_mm + CARD_THICKNESS_MM, _DEPTH_STEPS)
    pairs = [
        (place, deep, deeper) for place in camera.places for deep in depths for deeper in depths
    ]
    beside = [_off(one, other, *pair) for pair in pairs]
    ways = [
        float(np.hypot(way, pair[1] - pair[2])) for way, pair in zip(beside, pairs, strict=True)
    ]
    return min(*beside, gap_mm), max(*ways, gap_mm)


def _off(
    one: Sequence[Floats], other: Sequence[Floats], place: Camera, deep: float, deeper: float
) -> float:
    return _nearest(_seen_at(one, place, deep), _seen_at(other, place, deeper)).gap_mm


def _seen_at(rings: Sequence[Floats], place: Camera, deep_mm: float) -> list[Floats]:
    """Return where an outline truly lies if it is so deep behind the plane that it is seen in."""
    foot = np.array(place.foot_mm)
    return [foot + (ring - foot) * (1 + deep_mm / place.height_mm) for ring in rings]
