"""Drawing each shape by mouse, by finger and by key, and how exact it is."""

import pytest

from tests.browser.canvas.conftest import TABLET, OpenCanvas
from tests.browser.canvas.driver import Canvas, corners_px, ellipse_px, furthest_px

pytestmark = pytest.mark.browser

CORNERS = [(700.0, 800.0), (1500.0, 900.0), (1400.0, 1800.0), (800.0, 1600.0)]


def test_a_rectangle_is_drawn_by_dragging_the_mouse(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.drag((800, 600), (1600, 1400))
    (mark,) = canvas.wait_for_marks(1)
    assert mark["outline"]["shape"] == "rectangle"
    wanted = [(800.0, 600.0), (1600.0, 600.0), (1600.0, 1400.0), (800.0, 1400.0)]
    assert furthest_px(corners_px(mark), wanted) <= 1


def test_a_rectangle_is_drawn_by_two_clicks_without_dragging(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.click((800, 600), (1600, 1400))
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px([corners_px(mark)[2]], [(1600, 1400)]) <= 1


def test_an_ellipse_is_drawn_by_dragging_the_mouse(canvas: Canvas) -> None:
    canvas.tool("ellipse")
    canvas.drag((2000, 1000), (3000, 1600))
    (mark,) = canvas.wait_for_marks(1)
    centre, radii = ellipse_px(mark)
    assert furthest_px([centre, radii], [(2500, 1300), (500, 300)]) <= 1


@pytest.mark.parametrize("how", ["first corner", "double click", "button", "key"])
def test_a_polygon_is_drawn_by_clicks_and_finished(canvas: Canvas, how: str) -> None:
    canvas.tool("polygon")
    canvas.click(*CORNERS)
    if how == "first corner":
        canvas.click(CORNERS[0])
    elif how == "double click":
        canvas.click(CORNERS[-1])
    elif how == "button":
        canvas.press("finish")
    else:
        canvas.keys("Enter")
    (mark,) = canvas.wait_for_marks(1)
    assert mark["outline"]["shape"] == "polygon"
    assert furthest_px(corners_px(mark), CORNERS) <= 1


def test_shapes_are_drawn_by_finger(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    finger = canvas.finger()
    canvas.tool("rectangle")
    finger.drag((400, 400), (700, 700), (1000, 900))
    canvas.tool("ellipse")
    finger.drag((1500, 400), (1900, 600), (2200, 1000))
    canvas.tool("polygon")
    corners = [(2400.0, 1400.0), (3400.0, 1500.0), (3300.0, 2500.0), (2500.0, 2400.0)]
    finger.tap(*corners, corners[0])
    rectangle, ellipse, polygon = canvas.wait_for_marks(3)
    assert (
        furthest_px([corners_px(rectangle)[0], corners_px(rectangle)[2]], [(400, 400), (1000, 900)])
        <= 1
    )
    assert furthest_px([ellipse_px(ellipse)[0]], [(1850, 700)]) <= 1
    assert furthest_px(corners_px(polygon), corners) <= 1


def test_a_finger_places_the_corner_where_it_is_lifted(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    finger = canvas.finger()
    canvas.tool("polygon")
    finger.drag((600, 600), (800, 800), (1000, 700))
    finger.tap((2000, 800), (1800, 2000))
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), [(1000, 700), (2000, 800), (1800, 2000)]) <= 1


def test_shapes_are_drawn_by_keys_alone(canvas: Canvas) -> None:
    canvas.stage.focus()
    canvas.keys("r")
    assert "Space sets a point" in canvas.page.locator(".hint").inner_text()
    canvas.keys("Space", *["ArrowRight"] * 6, *["ArrowDown"] * 5, "Space")
    canvas.wait_for_marks(1)
    canvas.keys("e", *["ArrowLeft"] * 12, "Enter", *["ArrowRight"] * 5, *["ArrowUp"] * 4, "Enter")
    canvas.wait_for_marks(2)
    canvas.keys("p", "Space", *["ArrowRight"] * 5, "Space", *["ArrowDown"] * 5, "Space", "Enter")
    rectangle, ellipse, polygon = canvas.wait_for_marks(3)
    scale = canvas.view()[0]
    left, right = corners_px(rectangle)[0], corners_px(rectangle)[2]
    assert furthest_px([(right[0] - left[0], right[1] - left[1])], [(60 / scale, 50 / scale)]) < 0.1
    assert ellipse["outline"]["shape"] == "ellipse"
    assert len(corners_px(polygon)) == 3


def test_escape_drops_a_half_drawn_shape_and_stores_nothing(canvas: Canvas) -> None:
    canvas.tool("polygon")
    canvas.click(*CORNERS)
    canvas.keys("Escape")
    canvas.tool("rectangle")
    canvas.click((800, 600))
    canvas.keys("Escape")
    canvas.drag((2000, 2000), (2600, 2400))
    marks = canvas.wait_for_marks(1)
    assert marks[0]["outline"]["shape"] == "rectangle"


def test_undo_takes_back_the_last_corner_of_a_half_drawn_polygon(canvas: Canvas) -> None:
    canvas.tool("polygon")
    canvas.click(*CORNERS)
    canvas.keys("Control+z")
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), CORNERS[:3]) <= 1


def test_two_corners_are_no_polygon(canvas: Canvas) -> None:
    canvas.tool("polygon")
    canvas.click(*CORNERS[:2])
    canvas.keys("Enter")
    assert canvas.trouble() == "A polygon needs 3 corners or more."
    assert canvas.stored() == []


def test_a_whole_screen_pixel_is_an_exact_place_at_the_whole_photo(canvas: Canvas) -> None:
    targets = [canvas.whole_pixel(corner) for corner in CORNERS]
    canvas.tool("polygon")
    canvas.click(*targets)
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), targets) < 1e-6


def test_at_400_per_cent_every_photo_pixel_can_be_hit_exactly(canvas: Canvas) -> None:
    for _ in range(20):
        if canvas.view()[0] == 4:
            break
        canvas.press("zoom-in")
    assert canvas.view()[0] == 4
    scale, x, y = canvas.view()
    middle = (round((640 - x) / scale), round((450 - y) / scale))
    targets = [
        (float(middle[0] + dx), float(middle[1] + dy))
        for dx, dy in [(-61, -30), (58, -27), (49, 33), (-55, 31)]
    ]
    canvas.tool("polygon")
    canvas.click(*targets)
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), targets) < 1e-6


def test_a_shape_stays_on_the_photo_however_far_one_drags(canvas: Canvas) -> None:
    canvas.tool("ellipse")
    canvas.drag((3600, 2600), (5200, 3020))
    canvas.tool("rectangle")
    canvas.drag((-800, 300), (400, 900))
    ellipse, rectangle = canvas.wait_for_marks(2)
    (centre_x, _), (radius_x, _) = ellipse_px(ellipse)
    assert centre_x + radius_x == pytest.approx(4032)
    assert corners_px(rectangle)[0][0] == 0


def test_a_new_mark_joins_the_finding_that_the_page_names(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.drag((800, 600), (1600, 1400))
    first = canvas.wait_for_marks(1)[0]
    canvas.page.goto(f"{canvas.url}/?joins=1")
    canvas.wait_until_shown()
    canvas.tool("ellipse")
    assert "finding 1" in canvas.page.locator(".hint").inner_text()
    canvas.drag((2000, 1000), (3000, 1600))
    marks = canvas.wait_for_marks(2)
    assert {mark["finding"] for mark in marks} == {first["finding"]}
