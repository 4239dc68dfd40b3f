"""Rectangles and distances pointed at: bad clicks are refused in one sentence, with no number."""

import numpy as np
import pytest

from triage_app.domain.errors import NoScaleError
from triage_app.domain.geometry import Point
from triage_app.domain.measuring import KnownDistance, KnownRectangle
from triage_app.imaging.lens import Lens
from triage_app.imaging.plane_sizes import Depth, distance
from triage_app.imaging.reference_plane import plane_of_distance, plane_of_rectangle

SIZE_PX = (4_000, 3_000)
IN_PLANE = Depth(behind_mm=0, before_mm=0)


def points(*pixels: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(Point(x / SIZE_PX[0], y / SIZE_PX[1]) for x, y in pixels)


def rectangle_at(*pixels: tuple[float, float]) -> KnownRectangle:
    one, two, three, four = points(*pixels)
    return KnownRectangle(corners=(one, two, three, four), first_mm=90, second_mm=60)


_BAD_CLICKS = {
    "crossing itself": (
        ((1000, 1000), (1600, 1400), (1600, 1000), (1000, 1400)),
        "in order around it",
    ),
    "two corners in one place": (
        ((1000, 1000), (1000, 1000), (1600, 1400), (1000, 1400)),
        "in order around it",
    ),
    "on one line": (((1000, 1000), (1200, 1000), (1400, 1000), (1600, 1000)), "in order around it"),
    "three nearly on one line": (
        ((1000, 1000), (1600, 1000), (1301, 1201), (1000, 1400)),
        "looks stretched",
    ),
    "all nearly on one line": (
        ((1000, 1000), (1600, 1000), (1600, 1006), (1000, 1006)),
        "too near to each other",
    ),
    "3 pixels high": (
        ((1000, 1000), (1004.5, 1000), (1004.5, 1003), (1000, 1003)),
        "too near to each other",
    ),
    "a dozen times what a hand shakes": (
        ((1000, 1000), (1108, 1000), (1108, 1072), (1000, 1072)),
        "too near to each other",
    ),
}


@pytest.mark.parametrize("case", _BAD_CLICKS)
def test_bad_clicks_give_a_reason_and_no_number(case: str) -> None:
    clicks, reason = _BAD_CLICKS[case]
    with pytest.raises(NoScaleError, match=reason) as refused:
        plane_of_rectangle(rectangle_at(*clicks), size_px=SIZE_PX, lens=Lens())
    assert "\n" not in str(refused.value)


def test_a_rectangle_just_large_enough_measures_its_own_diagonal() -> None:
    # 90 x 60 mm: by Pythagoras 108.17 mm.
    clicks = ((1000, 1000), (1180, 1000), (1180, 1120), (1000, 1120))
    plane = plane_of_rectangle(rectangle_at(*clicks), size_px=SIZE_PX, lens=Lens())
    way = distance(plane, np.array([clicks[0], clicks[2]], dtype=float), IN_PLANE)
    assert way.low_mm <= 108.17 <= way.high_mm


def test_two_points_nearly_in_one_place_give_no_scale() -> None:
    one, two = points((1000, 1000), (1040, 1000))
    with pytest.raises(NoScaleError, match="too near to each other"):
        plane_of_distance(
            KnownDistance(ends=(one, two), length_mm=90), size_px=SIZE_PX, lens=Lens()
        )
