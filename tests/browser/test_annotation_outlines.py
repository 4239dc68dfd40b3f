"""A browser's own SVG reader says where the outlines of our Web Annotations lie."""

import math
import random

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.chromium import FLAGS
from tests.builders import a_case, a_finding, a_mark, a_photo
from triage_app.casefile.annotations import annotations
from triage_app.domain.geometry import Ellipse, Outline, Point, Rings, RingShape

pytestmark = pytest.mark.browser

WIDTH_PX, HEIGHT_PX = 800, 400
FRAME = Rings(
    shape=RingShape.POLYGON,
    rings=(
        (Point(0.1, 0.1), Point(0.5, 0.1), Point(0.5, 0.9), Point(0.1, 0.9)),
        (Point(0.2, 0.3), Point(0.4, 0.3), Point(0.4, 0.7), Point(0.2, 0.7)),
    ),
)
TURNED = Ellipse(centre=Point(0.5, 0.5), radius_x_px=180, radius_y_px=60, angle_deg=30)
_IN_FILL = """points => {
  const shape = document.querySelector('svg').firstElementChild;
  const turned = shape.getCTM().inverse();
  return points.map(([x, y]) =>
    shape.isPointInFill(new DOMPoint(x, y).matrixTransform(turned)));
}"""


def in_frame(x_px: float, y_px: float) -> bool:
    return (80 < x_px < 400 and 40 < y_px < 360) and not (160 < x_px < 320 and 120 < y_px < 280)


def in_turned(x_px: float, y_px: float) -> bool:
    angle = math.radians(30)
    x, y = x_px - 400, y_px - 200
    along = x * math.cos(angle) + y * math.sin(angle)
    across = -x * math.sin(angle) + y * math.cos(angle)
    return (along / 180) ** 2 + (across / 60) ** 2 < 1


def svg_of(outline: Outline) -> str:
    photo = a_photo(width_px=WIDTH_PX, height_px=HEIGHT_PX)
    finding = a_finding(marks=(a_mark(photo=photo, outline=outline),))
    made = annotations(a_case(finding, photos=(photo,)), {finding.id: ()})
    value: str = made["first"]["items"][0]["target"]["selector"]["value"]  # type: ignore[index]
    return value.replace("<svg ", f'<svg width="{WIDTH_PX}" height="{HEIGHT_PX}" ', 1)


def test_a_point_lies_inside_exactly_where_the_outline_holds_it() -> None:
    points = random.Random(7)  # noqa: S311 - places, no secret
    places = [(points.uniform(0, WIDTH_PX), points.uniform(0, HEIGHT_PX)) for _ in range(400)]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = browser.new_page()
        for outline, holds in ((FRAME, in_frame), (TURNED, in_turned)):
            page.set_content(f'<body style="margin:0">{svg_of(outline)}</body>')
            found = page.evaluate(_IN_FILL, [list(place) for place in places])
            assert found == [holds(*place) for place in places]
        browser.close()
