"""Outlines on their way to and from the browser: fractions of the upright photo, as plain lists.

The browser works in upright pixels and converts once, in ``assets/geometry.js``; nothing on this
side ever sees a pixel of the screen.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import (
    MAX_POINTS,
    MAX_RINGS,
    Ellipse,
    Outline,
    Point,
    Ring,
    Rings,
    RingShape,
    check_inside,
)

MAX_NUMBER = 1e9
_UNREADABLE = "The outline of a mark could not be read; draw it again."


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoSize:
    """Size of the upright photo in pixels."""

    width_px: int
    height_px: int


def outline_data(outline: Outline) -> dict[str, object]:
    """Return the outline as the browser takes it; ``parse_outline`` gives the same one back."""
    if isinstance(outline, Ellipse):
        return {
            "shape": "ellipse",
            "centre": [outline.centre.x_frac, outline.centre.y_frac],
            "radii_px": [outline.radius_x_px, outline.radius_y_px],
            "angle_deg": outline.angle_deg,
        }
    rings = [[[point.x_frac, point.y_frac] for point in ring] for ring in outline.rings]
    return {"shape": outline.shape.value, "rings": rings}


def parse_outline(value: object, size: PhotoSize) -> Outline:
    """Return the outline that the browser sent; InvalidInputError if it cannot be right."""
    if not isinstance(value, Mapping):
        raise InvalidInputError(_UNREADABLE)
    outline = _ellipse(value) if value.get("shape") == "ellipse" else _rings(value)
    check_inside(outline, size.width_px, size.height_px)
    return outline


def _ellipse(value: Mapping[object, object]) -> Ellipse:
    radius_x_px, radius_y_px = _pair(value.get("radii_px"))
    return Ellipse(
        centre=Point(*_pair(value.get("centre"))),
        radius_x_px=radius_x_px,
        radius_y_px=radius_y_px,
        angle_deg=_number(value.get("angle_deg")),
    )


def _rings(value: Mapping[object, object]) -> Rings:
    shape, rings = value.get("shape"), value.get("rings")
    if not isinstance(shape, str) or shape not in set(RingShape):
        raise InvalidInputError(_UNREADABLE)
    if not isinstance(rings, list) or len(rings) > MAX_RINGS:
        raise InvalidInputError(_UNREADABLE)
    return Rings(shape=RingShape(shape), rings=tuple(_ring(ring) for ring in rings))


def _ring(value: object) -> Ring:
    if not isinstance(value, list):
        raise InvalidInputError(_UNREADABLE)
    if len(value) > MAX_POINTS:
        raise InvalidInputError(f"An outline has at most {MAX_POINTS} points.")
    return tuple(Point(*_pair(point)) for point in value)


def _pair(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise InvalidInputError(_UNREADABLE)
    return _number(value[0]), _number(value[1])


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InvalidInputError(_UNREADABLE)
    if not abs(value) <= MAX_NUMBER:  # also true of NaN, and of whole numbers too big for a float
        raise InvalidInputError("A point of an outline is not a number.")
    return float(value)
