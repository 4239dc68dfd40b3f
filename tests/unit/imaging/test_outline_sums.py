"""Sum and difference of outlines, against areas and corners worked out by hand."""

import pytest

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import Ellipse, Outline, Point, Rings, polygon, rings_px
from triage_app.imaging.outline_sums import Combining, combined

WIDTH_PX, HEIGHT_PX = 4000, 3000


def box(left: float, top: float, right: float, bottom: float) -> Rings:
    """Return a box between two corners in pixels."""
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return polygon((x / WIDTH_PX, y / HEIGHT_PX) for x, y in corners)


def put_together(mark: Outline, other: Outline, how: Combining) -> tuple[Rings, ...]:
    return combined(mark, other, how, width_px=WIDTH_PX, height_px=HEIGHT_PX)


def area_px(outline: Rings) -> float:
    """Return border less holes, by the shoelace formula."""
    areas = []
    for ring in rings_px(outline, WIDTH_PX, HEIGHT_PX):
        pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
        areas.append(abs(sum(x * b - a * y for (x, y), (a, b) in pairs)) / 2)
    return areas[0] - sum(areas[1:])


def corners(outline: Rings) -> set[tuple[float, float]]:
    ring = rings_px(outline, WIDTH_PX, HEIGHT_PX)[0]
    return {(round(x, 6), round(y, 6)) for x, y in ring}


BIG = box(1000, 1000, 2000, 2000)


def test_two_overlapping_boxes_become_one_with_their_corners_kept() -> None:
    (joined,) = put_together(BIG, box(1500, 1500, 2500, 2500), Combining.JOIN)
    assert area_px(joined) == pytest.approx(1_750_000, abs=4000)
    assert {(1000.0, 1000.0), (2000.0, 1000.0), (2500.0, 2500.0)} <= corners(joined)


def test_a_cut_inside_is_a_hole() -> None:
    (holed,) = put_together(BIG, box(1400, 1400, 1600, 1600), Combining.CUT)
    assert len(holed.rings) == 2
    assert area_px(holed) == pytest.approx(960_000, abs=4000)


def test_a_cut_across_leaves_two_pieces_the_larger_first() -> None:
    larger, smaller = put_together(BIG, box(900, 1300, 2100, 1400), Combining.CUT)
    assert area_px(larger) == pytest.approx(600_000, abs=2500)
    assert area_px(smaller) == pytest.approx(300_000, abs=2500)
    assert {(1000.0, 2000.0), (2000.0, 2000.0)} <= corners(larger)


def test_new_corners_lie_within_half_a_pixel() -> None:
    (joined,) = put_together(BIG, box(1500, 1500, 2500, 2500), Combining.JOIN)
    for wanted in ((2000.0, 1500.0), (1500.0, 2000.0)):
        gaps = [max(abs(x - wanted[0]), abs(y - wanted[1])) for x, y in corners(joined)]
        assert min(gaps) <= 0.5


def test_an_ellipse_can_be_cut_out_and_added() -> None:
    ellipse = Ellipse(centre=Point(0.375, 0.5), radius_x_px=100, radius_y_px=50, angle_deg=30)
    (holed,) = put_together(BIG, ellipse, Combining.CUT)
    # The fine polygon of 72 sides that stands for an ellipse has 0.9987 of its area.
    assert area_px(holed) == pytest.approx(1_000_000 - 0.9987 * 15_708, abs=2500)


def test_what_touches_nothing_is_not_added() -> None:
    with pytest.raises(InvalidInputError, match="does not touch"):
        put_together(BIG, box(3000, 2500, 3200, 2700), Combining.JOIN)


def test_a_mark_is_never_cut_away_whole() -> None:
    with pytest.raises(InvalidInputError, match="delete the mark"):
        put_together(BIG, box(900, 900, 2100, 2100), Combining.CUT)


def test_a_mark_all_over_a_48_mp_photo_is_worked_out_too() -> None:
    size = {"width_px": 8000, "height_px": 6000}
    (holed,) = combined(box(0, 0, 4000, 3000), BIG, Combining.CUT, **size)
    assert len(holed.rings) == 2
