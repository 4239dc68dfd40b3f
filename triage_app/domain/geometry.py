"""Outlines on a photo: plain geometry, no pixels.

Frame: the *upright* photo, x to the right, y down. Rings are in fractions of its width and
height (0..1), filled by the even-odd rule, so that a second ring is a hole. An ellipse has its
centre in fractions and its two radii and its angle in upright pixels, because an ellipse that is
turned keeps its shape only in pixels.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError

MAX_POINTS = 2_000
MAX_RINGS = 20
ELLIPSE_SEGMENTS = 72

Ring = tuple["Point", ...]


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the upright photo, in fractions of its width and height."""

    x_frac: float
    y_frac: float

    def __post_init__(self) -> None:
        for value in (self.x_frac, self.y_frac):
            if not math.isfinite(value):
                raise InvalidInputError("A point of an outline is not a number.")
            if not 0.0 <= value <= 1.0:
                raise InvalidInputError("An outline reaches outside the photo.")


class RingShape(StrEnum):
    """How a person drew the rings; a rectangle keeps its handles at four corners."""

    RECTANGLE = "rectangle"
    POLYGON = "polygon"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rings:
    """A rectangle or polygon. The first ring is the border, further rings are holes."""

    shape: RingShape
    rings: tuple[Ring, ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.rings) <= MAX_RINGS:
            raise InvalidInputError(f"An outline has 1 to {MAX_RINGS} rings.")
        if sum(len(ring) for ring in self.rings) > MAX_POINTS:
            raise InvalidInputError(f"An outline has at most {MAX_POINTS} points.")
        for ring in self.rings:
            _check_ring(ring)
        if self.shape is RingShape.RECTANGLE and [len(ring) for ring in self.rings] != [4]:
            raise InvalidInputError("A rectangle has one ring of four corners.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipse:
    """Centre in fractions; radii and angle (degrees, clockwise as seen) in upright pixels."""

    centre: Point
    radius_x_px: float
    radius_y_px: float
    angle_deg: float = 0.0

    def __post_init__(self) -> None:
        numbers = (self.radius_x_px, self.radius_y_px, self.angle_deg)
        if not all(math.isfinite(number) for number in numbers):
            raise InvalidInputError("A radius of an ellipse is not a number.")
        if not (0 < self.radius_x_px <= 100_000 and 0 < self.radius_y_px <= 100_000):
            raise InvalidInputError("Both radii of an ellipse must be greater than zero.")


Outline = Rings | Ellipse


def rectangle(left: float, top: float, right: float, bottom: float) -> Rings:
    """Return the rectangle between two corners, all in fractions of the upright photo."""
    if right <= left or bottom <= top:
        raise InvalidInputError("A rectangle needs a width and a height greater than zero.")
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return Rings(shape=RingShape.RECTANGLE, rings=(tuple(Point(x, y) for x, y in corners),))


def polygon(points: Iterable[tuple[float, float]]) -> Rings:
    """Return the polygon through three or more points in fractions of the upright photo."""
    return Rings(shape=RingShape.POLYGON, rings=(tuple(Point(x, y) for x, y in points),))


@dataclass(frozen=True, slots=True)
class Bounds:
    """The smallest upright box around an outline, in fractions."""

    left: float
    top: float
    right: float
    bottom: float


def rings_px(outline: Outline, width_px: int, height_px: int) -> list[list[tuple[float, float]]]:
    """Return the outline's rings in upright pixels; an ellipse becomes a fine polygon."""
    if isinstance(outline, Rings):
        return [[(p.x_frac * width_px, p.y_frac * height_px) for p in r] for r in outline.rings]
    centre_x_px, centre_y_px = outline.centre.x_frac * width_px, outline.centre.y_frac * height_px
    turn = math.radians(outline.angle_deg)
    ring = []
    for step in range(ELLIPSE_SEGMENTS):
        at = 2 * math.pi * step / ELLIPSE_SEGMENTS
        along, across = outline.radius_x_px * math.cos(at), outline.radius_y_px * math.sin(at)
        ring.append(
            (
                centre_x_px + along * math.cos(turn) - across * math.sin(turn),
                centre_y_px + along * math.sin(turn) + across * math.cos(turn),
            )
        )
    return [ring]


def bounds(outline: Outline, width_px: int, height_px: int) -> Bounds:
    """Return the box around the outline in fractions, cut at the border of the photo."""
    points = [point for ring in rings_px(outline, width_px, height_px) for point in ring]
    xs = [min(max(x / width_px, 0.0), 1.0) for x, _ in points]
    ys = [min(max(y / height_px, 0.0), 1.0) for _, y in points]
    return Bounds(min(xs), min(ys), max(xs), max(ys))


def check_inside(outline: Outline, width_px: int, height_px: int) -> None:
    """Raise InvalidInputError where an ellipse reaches outside the photo (points are checked)."""
    if isinstance(outline, Rings):
        return
    for ring in rings_px(outline, width_px, height_px):
        for x_px, y_px in ring:
            if not (-1e-6 <= x_px <= width_px + 1e-6 and -1e-6 <= y_px <= height_px + 1e-6):
                raise InvalidInputError("An outline reaches outside the photo.")


def contains(rings: Sequence[Sequence[tuple[float, float]]], x: float, y: float) -> bool:
    """Tell whether a point lies inside rings by the even-odd rule (any one frame)."""
    inside = False
    for ring in rings:
        for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
                inside = not inside
    return inside


def gap_px(one: Outline, other: Outline, width_px: int, height_px: int) -> float:
    """Return the shortest distance between two outlines in upright pixels; 0 if they overlap."""
    rings_a, rings_b = rings_px(one, width_px, height_px), rings_px(other, width_px, height_px)
    if contains(rings_b, *rings_a[0][0]) or contains(rings_a, *rings_b[0][0]):
        return 0.0
    nearest = math.inf
    for a1, a2 in _sides(rings_a):
        for b1, b2 in _sides(rings_b):
            nearest = min(nearest, _gap_between_sides(a1, a2, b1, b2))
            if nearest == 0.0:
                return 0.0
    return nearest


_Xy = tuple[float, float]


def _check_ring(ring: Ring) -> None:
    if len(set(ring)) < 3:
        raise InvalidInputError(f"A polygon needs 3 or more points, got {len(set(ring))}.")
    if abs(_signed_area(ring)) < 1e-9:
        raise InvalidInputError("An outline has no area; draw around the damage.")


def _signed_area(ring: Ring) -> float:
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return sum(a.x_frac * b.y_frac - b.x_frac * a.y_frac for a, b in pairs) / 2


def _sides(rings: Sequence[Sequence[_Xy]]) -> Iterable[tuple[_Xy, _Xy]]:
    for ring in rings:
        yield from zip(ring, [*ring[1:], ring[0]], strict=True)


def _gap_between_sides(a1: _Xy, a2: _Xy, b1: _Xy, b2: _Xy) -> float:
    if _cross(a1, a2, b1, b2):
        return 0.0
    return min(
        _gap_to_side(a1, b1, b2),
        _gap_to_side(a2, b1, b2),
        _gap_to_side(b1, a1, a2),
        _gap_to_side(b2, a1, a2),
    )


def _cross(a1: _Xy, a2: _Xy, b1: _Xy, b2: _Xy) -> bool:
    def turn(p: _Xy, q: _Xy, r: _Xy) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a1, a2, b1) * turn(a1, a2, b2) < 0 and turn(b1, b2, a1) * turn(b1, b2, a2) < 0


def _gap_to_side(p: _Xy, s1: _Xy, s2: _Xy) -> float:
    dx, dy = s2[0] - s1[0], s2[1] - s1[1]
    length_squared = dx * dx + dy * dy
    if length_squared == 0:
        return math.dist(p, s1)
    t = min(1.0, max(0.0, ((p[0] - s1[0]) * dx + (p[1] - s1[1]) * dy) / length_squared))
    return math.dist(p, (s1[0] + t * dx, s1[1] + t * dy))
