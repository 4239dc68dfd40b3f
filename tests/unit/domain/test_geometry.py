"""Outlines: what is refused, what is measured."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import (
    MAX_POINTS,
    Bounds,
    Ellipse,
    Point,
    Rings,
    RingShape,
    bounds,
    check_inside,
    contains,
    gap_px,
    polygon,
    rectangle,
    rings_px,
)

TRIANGLE = ((0.1, 0.1), (0.5, 0.1), (0.1, 0.5))


@pytest.mark.parametrize(
    ("points", "sentence"),
    [
        pytest.param([(0.1, 0.1), (0.2, 0.2)], "needs 3 or more points, got 2", id="two points"),
        pytest.param([(0.1, 0.1)] * 5, "needs 3 or more points, got 1", id="one point five times"),
        pytest.param([], "got 0", id="no point"),
        pytest.param([(0.1, 0.1), (0.2, 0.2), (0.3, 0.3)], "no area", id="all in a line"),
        pytest.param([(0, 0), (1.01, 0), (0, 1)], "outside the photo", id="past the right border"),
        pytest.param([(0, 0), (0.5, -0.001), (0, 1)], "outside the photo", id="above the top"),
        pytest.param([(0, 0), (math.nan, 0), (0, 1)], "not a number", id="not a number"),
        pytest.param([(0, 0), (math.inf, 0), (0, 1)], "not a number", id="infinite"),
        pytest.param(
            [(i / 3000, (i % 7) / 7) for i in range(MAX_POINTS + 1)], "at most", id="too many"
        ),
    ],
)
def test_an_outline_that_cannot_be_drawn_is_refused_in_one_sentence(points, sentence) -> None:  # type: ignore[no-untyped-def]  # table rows
    with pytest.raises(InvalidInputError, match=sentence):
        polygon(points)


def test_a_rectangle_needs_width_and_height() -> None:
    with pytest.raises(InvalidInputError, match="width and a height"):
        rectangle(0.5, 0.1, 0.5, 0.9)


def test_a_rectangle_keeps_exactly_four_corners() -> None:
    ring = tuple(Point(x, y) for x, y in TRIANGLE)
    with pytest.raises(InvalidInputError, match="four corners"):
        Rings(shape=RingShape.RECTANGLE, rings=(ring,))


@pytest.mark.parametrize("radius_px", [0, -3, math.nan, math.inf])
def test_an_ellipse_without_a_size_is_refused(radius_px: float) -> None:
    with pytest.raises(InvalidInputError):
        Ellipse(centre=Point(0.5, 0.5), radius_x_px=radius_px, radius_y_px=10)


def test_an_ellipse_that_reaches_outside_the_photo_is_refused() -> None:
    outline = Ellipse(centre=Point(0.1, 0.5), radius_x_px=101, radius_y_px=10)
    with pytest.raises(InvalidInputError, match="outside the photo"):
        check_inside(outline, 1000, 500)
    check_inside(Ellipse(centre=Point(0.1, 0.5), radius_x_px=100, radius_y_px=10), 1000, 500)


def test_a_turned_ellipse_keeps_its_shape_in_pixels() -> None:
    outline = Ellipse(centre=Point(0.5, 0.5), radius_x_px=100, radius_y_px=50, angle_deg=90)
    box = bounds(outline, 1000, 500)
    assert box.left == pytest.approx(0.45)
    assert box.right == pytest.approx(0.55)
    assert box.top == pytest.approx(0.3)
    assert box.bottom == pytest.approx(0.7)


def test_a_hole_is_not_inside() -> None:
    outer = rectangle(0.1, 0.1, 0.9, 0.9).rings[0]
    hole = rectangle(0.4, 0.4, 0.6, 0.6).rings[0]
    ringed = rings_px(Rings(shape=RingShape.POLYGON, rings=(outer, hole)), 100, 100)
    assert contains(ringed, 20, 20)
    assert not contains(ringed, 50, 50)
    assert not contains(ringed, 95, 50)


def test_bounds_of_a_polygon() -> None:
    assert bounds(polygon(TRIANGLE), 640, 480) == Bounds(0.1, 0.1, 0.5, 0.5)


@pytest.mark.parametrize(
    ("other", "expected_px"),
    [
        pytest.param(rectangle(0.5, 0.1, 0.6, 0.2), 300, id="beside"),
        pytest.param(rectangle(0.1, 0.5, 0.2, 0.6), 150, id="below"),
        pytest.param(rectangle(0.5, 0.5, 0.6, 0.6), math.hypot(300, 150), id="diagonal"),
        pytest.param(rectangle(0.15, 0.15, 0.6, 0.6), 0, id="overlapping"),
        pytest.param(rectangle(0.12, 0.12, 0.14, 0.14), 0, id="inside"),
        pytest.param(rectangle(0.0, 0.0, 1.0, 1.0), 0, id="around"),
        pytest.param(rectangle(0.0, 0.13, 1.0, 0.17), 0, id="crossing without a corner inside"),
    ],
)
def test_gap_between_outlines(other: Rings, expected_px: float) -> None:
    one = rectangle(0.1, 0.1, 0.2, 0.2)
    assert gap_px(one, other, 1000, 500) == pytest.approx(expected_px)
    assert gap_px(other, one, 1000, 500) == pytest.approx(expected_px)


_SIDE = st.floats(0.01, 0.5)


@given(
    left=st.floats(0, 0.49),
    top=st.floats(0, 0.49),
    width=_SIDE,
    height=_SIDE,
    size=st.integers(8, 9000),
)
def test_fractions_to_pixels_and_back_is_exact_to_a_thousandth_of_a_pixel(
    left: float, top: float, width: float, height: float, size: int
) -> None:
    outline = rectangle(left, top, left + width, top + height)
    for (x_px, y_px), point in zip(rings_px(outline, size, size)[0], outline.rings[0], strict=True):
        assert abs(x_px / size - point.x_frac) * size < 1e-3
        assert abs(y_px / size - point.y_frac) * size < 1e-3
