"""The line of travel on the drawing: an arrow that is told by its shape, whatever the colours."""

import math

from triage_app.imaging.underside.shapes import HEIGHT, WIDTH, Element, Point, Stroke

_INK, _LIGHT = "#1B1B1C", "#FFFFFF"
_CASING, _WIDTH = 13.0, 6.0
_DASH = (20.0, 9.0)
_HEAD_LENGTH, _HEAD_HALF_WIDTH = 34.0, 15.0


def travel(start: Point, end: Point, scale: float = 1.0) -> list[Element]:
    """Return the arrow from ``start`` to ``end``, both in fractions of the drawing."""
    tail, tip = (_units(start), _units(end))
    length = math.dist(tail, tip)
    if length == 0:
        return []
    along = ((tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length)
    head = min(_HEAD_LENGTH * scale, length)
    neck = (tip[0] - along[0] * head, tip[1] - along[1] * head)
    half = _HEAD_HALF_WIDTH * scale
    barbs = [
        (neck[0] - side * along[1] * half, neck[1] + side * along[0] * half) for side in (1, -1)
    ]
    shaft, point = (tail, neck), (tip, *barbs)
    return [
        _line(shaft, _LIGHT, _CASING * scale),
        _line(shaft, _INK, _WIDTH * scale, dash=tuple(part * scale for part in _DASH)),
        Stroke(
            points=point,
            is_closed=True,
            fill=_INK,
            ink=_LIGHT,
            width=4.0 * scale,
            what="line of travel",
        ),
    ]


def _line(
    points: tuple[Point, ...], ink: str, width: float, dash: tuple[float, ...] = ()
) -> Stroke:
    return Stroke(
        points=points, is_closed=False, ink=ink, width=width, dash=dash, what="line of travel"
    )


def _units(place: Point) -> Point:
    return place[0] * WIDTH, place[1] * HEIGHT
