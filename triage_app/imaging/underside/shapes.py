"""The drawing's data (``car.toml``) as strokes and words, in units of the drawing.

Units: 1/1000 of the drawing's height; x to the right, y down; the drawing is ``WIDTH`` wide.
"""

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from triage_app.domain.plan_view import WIDTH_TO_HEIGHT

HEIGHT = 1000.0
WIDTH = HEIGHT * WIDTH_TO_HEIGHT

Point = tuple[float, float]
_CORNER_STEPS = 8
_DISC_STEPS = 28


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One outline or line. ``ink`` None draws no line, ``fill`` None leaves it open.

    ``dash`` holds lengths of line and gap in units; empty is a solid line.
    """

    points: tuple[Point, ...]
    is_closed: bool
    fill: str | None = None
    ink: str | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word around its middle; ``size`` is the height of its letters' box in units."""

    text: str
    at: Point
    size: float
    ink: str = "#1B1B1C"


Element = Stroke | Word


@lru_cache(maxsize=1)
def car() -> tuple[Element, ...]:
    """Return the car in the order of drawing."""
    data = tomllib.loads(
        files("triage_app.imaging.underside").joinpath("car.toml").read_text(encoding="utf-8")
    )
    drawn: list[Element] = []
    for row in data["shapes"]:
        for points, is_closed in _outlines(row):
            drawn += _styled(points, data["styles"][row["style"]], row["what"], is_closed=is_closed)
    drawn += [
        Word(text=row["text"], at=(row["at"][0], row["at"][1]), size=row["size"])
        for row in data["words"]
    ]
    return tuple(drawn)


def box_points(left: float, top: float, right: float, bottom: float, radius: float) -> list[Point]:
    """Return a box with rounded corners as a polygon."""
    corners = (
        (right - radius, top + radius, -90),
        (right - radius, bottom - radius, 0),
        (left + radius, bottom - radius, 90),
        (left + radius, top + radius, 180),
    )
    return [
        (
            x + radius * math.cos(math.radians(start + 90 * step / _CORNER_STEPS)),
            y + radius * math.sin(math.radians(start + 90 * step / _CORNER_STEPS)),
        )
        for x, y, start in corners
        for step in range(_CORNER_STEPS + 1)
    ]


def disc_points(x: float, y: float, radius: float) -> list[Point]:
    """Return a disc as a polygon."""
    turns = [2 * math.pi * step / _DISC_STEPS for step in range(_DISC_STEPS)]
    return [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]


def _outlines(row: Mapping[str, Any]) -> list[tuple[list[Point], bool]]:
    points, is_closed = _outline(row)
    made = [(points, is_closed)]
    if row.get("mirrored", False):
        made.append(([(WIDTH - x, y) for x, y in points], is_closed))
    return made


def _outline(row: Mapping[str, Any]) -> tuple[list[Point], bool]:
    if "box" in row:
        left, top, right, bottom = row["box"]
        return box_points(left, top, right, bottom, row["radius"]), True
    if "disc" in row:
        return disc_points(*row["disc"]), True
    if "diamond" in row:
        x, y, reach = row["diamond"]
        return [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)], True
    return [(x, y) for x, y in row["line"]], False


def _styled(
    points: Sequence[Point], style: Mapping[str, Any], what: str, *, is_closed: bool
) -> list[Element]:
    made: list[Element] = [
        Stroke(
            points=tuple(points),
            is_closed=is_closed,
            fill=style.get("fill") if is_closed else None,
            ink=style["ink"],
            width=style["width"],
            what=what,
        )
    ]
    if "core" in style:
        made.append(
            Stroke(
                points=tuple(points),
                is_closed=False,
                ink=style["core"],
                width=style["core_width"],
                dash=tuple(style.get("dash", ())),
                what=what,
            )
        )
    return made
