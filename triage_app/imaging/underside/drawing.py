"""Car + zones + numbered tags -> what is drawn, for screen and print alike.

The plan is drawn as if one looked down through the car: front up, the car's left on the left.
"""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from rules import Risk, ZoneId
from triage_app.domain.plan_view import PLAN_ZONES, PlanZone
from triage_app.imaging.mark_style import MARK_STYLES
from triage_app.imaging.underside.shapes import (
    HEIGHT,
    WIDTH,
    Element,
    Point,
    Stroke,
    Word,
    box_points,
    car,
)
from triage_app.imaging.underside.travel import travel

_INK, _LIGHT = "#1B1B1C", "#FFFFFF"
_ZONE_INK = "#59626A"
_EMPHASIS_INK, _EMPHASIS_FILL = "#1B1B1C", "#FFF3C4"
_HATCH_STEP = 16.0
_TAG_HEIGHT, _CHARACTER_WIDTH, _TAG_GAP = 30.0, 12.5, 3.0
_PLACE_STEP = 6.0
_DASH_UNIT = 2.6


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTag:
    """A finding on the plan: its number, its risk, and its place in fractions of the drawing.

    ``shown_x_frac`` and ``shown_y_frac`` say where its tag stands when its own place is taken.
    """

    number: int
    risk: Risk
    x_frac: float
    y_frac: float
    zone: ZoneId | None = None
    shown_x_frac: float | None = None
    shown_y_frac: float | None = None

    @property
    def label(self) -> str:
        """Number and the first letter of the risk: legible without colour."""
        return f"{self.number} {MARK_STYLES[self.risk].word[0]}"

    @property
    def place(self) -> Point:
        return self.x_frac * WIDTH, self.y_frac * HEIGHT

    @property
    def shown_at(self) -> Point:
        x = self.x_frac if self.shown_x_frac is None else self.shown_x_frac
        y = self.y_frac if self.shown_y_frac is None else self.shown_y_frac
        return x * WIDTH, y * HEIGHT


def elements(
    tags: Sequence[PlanTag] = (),
    *,
    emphasised: Iterable[ZoneId] = (),
    shows_zones: bool = True,
    tag_scale: float = 1.0,
    line: tuple[Point, Point] | None = None,
) -> list[Element]:
    """Return everything that is drawn, in order. ``tag_scale`` enlarges tags on a small plan.

    ``line`` are both ends of the line of travel, in fractions of the drawing.
    """
    drawn: list[Element] = list(car())
    if shows_zones:
        drawn += [_zone_line(zone) for zone in PLAN_ZONES]
    wanted = set(emphasised)
    for zone in PLAN_ZONES:
        if zone.zone in wanted:
            drawn += _emphasis(zone)
    if line is not None:
        drawn += travel(*line, tag_scale)
    apart = tags_apart(tags, tag_scale=tag_scale)
    for tag in apart:
        drawn += _leader(tag)
    for tag in reversed(apart):
        drawn += _tag(tag, tag_scale)
    return drawn


def tags_apart(tags: Sequence[PlanTag], *, tag_scale: float = 1.0) -> list[PlanTag]:
    """Return the tags where they do not cover each other, as near to their places as can be.

    The first of the list choose first. A tag for which the drawing has no room left stays where
    its place is.
    """
    taken: list[tuple[float, float, float, float]] = []
    placed: list[PlanTag] = []
    for tag in tags:
        half_width = (tag_width(tag) * tag_scale) / 2 + _TAG_GAP / 2
        half_height = (_TAG_HEIGHT * tag_scale + _TAG_GAP) / 2
        x, y = _nearest_free(tag.place, (half_width, half_height), taken)
        taken.append((x - half_width, y - half_height, x + half_width, y + half_height))
        placed.append(replace(tag, shown_x_frac=x / WIDTH, shown_y_frac=y / HEIGHT))
    return placed


def tag_width(tag: PlanTag) -> float:
    return max(_TAG_HEIGHT, 14 + _CHARACTER_WIDTH * len(tag.label))


def alt_text(
    tags: Sequence[PlanTag],
    zone_labels: Mapping[ZoneId, str],
    *,
    emphasised: Iterable[ZoneId] = (),
    shows_line: bool = False,
) -> str:
    """Say in words what the drawing shows, zone by zone from front to rear."""
    said = [
        "Drawn plan of the underside of a generic electric car with a flat battery, front at the "
        "top, left of the car on the left"
    ]
    shown = [zone_labels.get(zone, zone) for zone in emphasised]
    if shown:
        said.append(f"zone emphasised: {', '.join(shown)}")
    if shows_line:
        said.append("an arrow shows the line along which the object passed")
    for zone in PLAN_ZONES:
        here = [tag for tag in tags if tag.zone == zone.zone]
        if here:
            named = ", ".join(f"{tag.number} ({MARK_STYLES[tag.risk].word})" for tag in here)
            said.append(f"{zone_labels.get(zone.zone, zone.zone)}: {named}")
    return "; ".join(said) + "."


def _nearest_free(
    at: Point, half: tuple[float, float], taken: Sequence[tuple[float, float, float, float]]
) -> Point:
    """Return the place nearest to ``at`` where a tag of this size covers no other."""
    xs = _steps(at[0], half[0], WIDTH - half[0])
    ys = _steps(at[1], half[1], HEIGHT - half[1])
    by_distance = sorted(
        ((x - at[0]) ** 2 + (y - at[1]) ** 2, y, x) for x, y in itertools.product(xs, ys)
    )
    for _, y, x in by_distance:
        if not any(
            x - half[0] < right
            and x + half[0] > left
            and y - half[1] < bottom
            and y + half[1] > top
            for left, top, right, bottom in taken
        ):
            return x, y
    return at


def _steps(middle: float, low: float, high: float) -> list[float]:
    """Return places from low to high on a grid that holds the middle where it lies between."""
    start = min(max(middle, low), high)
    before = int((start - low) // _PLACE_STEP)
    after = int((high - start) // _PLACE_STEP)
    return [start + step * _PLACE_STEP for step in range(-before, after + 1)]


def _zone_line(zone: PlanZone) -> Stroke:
    return Stroke(
        points=_corners(zone, inset=0.0),
        is_closed=True,
        ink=_ZONE_INK,
        width=1.2,
        dash=(7.0, 5.0),
        what="zone",
    )


def _emphasis(zone: PlanZone) -> list[Element]:
    """Return a zone that stands out by frame and hatching, whatever the colours."""
    left, top = zone.left * WIDTH, zone.top * HEIGHT
    right, bottom = zone.right * WIDTH, zone.bottom * HEIGHT
    hatch = [
        Stroke(points=ends, is_closed=False, ink=_EMPHASIS_INK, width=3.0, what="emphasis")
        for ends in _hatching(left, top, right, bottom)
    ]
    frame = Stroke(
        points=_corners(zone, inset=3.0),
        is_closed=True,
        ink=_EMPHASIS_INK,
        width=8.0,
        what="emphasis",
    )
    ground = Stroke(
        points=_corners(zone, inset=0.0), is_closed=True, fill=_EMPHASIS_FILL, what="emphasis"
    )
    return [ground, *hatch, frame]


def _hatching(left: float, top: float, right: float, bottom: float) -> list[tuple[Point, Point]]:
    """Return rising lines across a box."""
    lines: list[tuple[Point, Point]] = []
    reach = _HATCH_STEP
    while reach < (right - left) + (bottom - top):
        start_y = min(bottom, top + reach)
        start = (left + (top + reach - start_y), start_y)
        end_x = min(right, left + reach)
        end = (end_x, top + (left + reach - end_x))
        lines.append((start, end))
        reach += _HATCH_STEP
    return lines


def _corners(zone: PlanZone, *, inset: float) -> tuple[Point, ...]:
    left, top = zone.left * WIDTH + inset, zone.top * HEIGHT + inset
    right, bottom = zone.right * WIDTH - inset, zone.bottom * HEIGHT - inset
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _leader(tag: PlanTag) -> list[Element]:
    """Return a line from a tag that had to move back to its place."""
    moved = max(abs(a - b) for a, b in zip(tag.place, tag.shown_at, strict=True))
    if moved < _TAG_HEIGHT:
        return []
    line = (tag.place, tag.shown_at)
    return [
        Stroke(points=line, is_closed=False, ink=_LIGHT, width=5.0, what="leader"),
        Stroke(points=line, is_closed=False, ink=_INK, width=2.0, what="leader"),
    ]


def _tag(tag: PlanTag, scale: float) -> list[Element]:
    style = MARK_STYLES[tag.risk]
    x, y = tag.shown_at
    half_width, half_height = tag_width(tag) * scale / 2, _TAG_HEIGHT * scale / 2

    def box(inset: float) -> tuple[Point, ...]:
        return tuple(
            box_points(
                x - half_width + inset,
                y - half_height + inset,
                x + half_width - inset,
                y + half_height - inset,
                7.0 * scale - inset / 2,
            )
        )

    return [
        Stroke(points=box(0.0), is_closed=True, fill=_LIGHT, ink=_LIGHT, width=3.0, what="tag"),
        Stroke(
            points=box(1.6 * scale),
            is_closed=True,
            fill=style.colour,
            ink=_INK,
            width=2.6 * scale,
            dash=tuple(part * _DASH_UNIT * scale for part in style.dash),
            what="tag",
        ),
        Word(text=tag.label, at=(x, y), size=21 * scale, ink=style.ink),
    ]
