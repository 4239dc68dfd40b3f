"""Choosing, moving, reshaping, deleting and taking back; and two people at one mark."""

import pytest

from tests.browser.canvas.conftest import TABLET, OpenCanvas
from tests.browser.canvas.driver import Canvas, Xy, corners_px, ellipse_px, furthest_px

pytestmark = pytest.mark.browser

BOX = [(800.0, 600.0), (1600.0, 600.0), (1600.0, 1400.0), (800.0, 1400.0)]
PATCH = [(2200.0, 800.0), (3000.0, 900.0), (2900.0, 1800.0), (2300.0, 1600.0)]


def with_rectangle(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.drag(BOX[0], BOX[2])
    canvas.wait_for_marks(1)
    canvas.tool("select")


def with_polygon(canvas: Canvas) -> None:
    canvas.tool("polygon")
    canvas.click(*PATCH)
    canvas.press("finish")
    canvas.wait_for_marks(1)
    canvas.tool("select")


def wait_for_revision(canvas: Canvas, revision: int) -> list[Xy]:
    canvas.wait_for(lambda: canvas.stored()[0]["revision"] == revision, f"revision {revision}")
    canvas.wait_for_rest()
    return corners_px(canvas.stored()[0])


def test_a_chosen_mark_is_moved_by_dragging_it(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.drag((1200, 1000), (1500, 1150))
    moved = wait_for_revision(canvas, 2)
    assert furthest_px(moved, [(x + 300, y + 150) for x, y in BOX]) <= 1


def test_a_mark_that_is_not_chosen_is_not_moved_by_a_drag_over_it(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.keys("Escape")
    canvas.press("zoom-in")
    before = canvas.view()
    canvas.drag((1200, 1000), (1500, 1150))
    assert canvas.view() != before
    canvas.click((1200, 1000))
    canvas.page.get_by_text("chosen: ").filter(has_not_text="nothing").wait_for()
    assert canvas.stored()[0]["revision"] == 1


def test_a_corner_and_a_side_of_a_rectangle_are_dragged_by_their_grips(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.drag(BOX[2], (1900, 1700))
    wider = wait_for_revision(canvas, 2)
    assert furthest_px(wider, [(800, 600), (1900, 600), (1900, 1700), (800, 1700)]) <= 1
    canvas.drag((1350, 600), (1500, 400))
    higher = wait_for_revision(canvas, 3)
    assert furthest_px(higher, [(800, 400), (1900, 400), (1900, 1700), (800, 1700)]) <= 1


def test_an_ellipse_is_widened_and_turned_by_its_grips(canvas: Canvas) -> None:
    canvas.tool("ellipse")
    canvas.drag((1500, 1200), (2500, 1600))
    canvas.wait_for_marks(1)
    canvas.tool("select")
    canvas.drag((2500, 1400), (2600, 1400))
    wait_until_radius(canvas, 600)
    scale = canvas.view()[0]
    canvas.drag((2000, 1200 - 34 / scale), (3200, 1400))
    canvas.wait_for(lambda: canvas.stored()[0]["outline"]["angle_deg"] != 0, "a turned ellipse")
    assert canvas.stored()[0]["outline"]["angle_deg"] == pytest.approx(90, abs=0.5)


def wait_until_radius(canvas: Canvas, radius_px: float) -> None:
    def is_there() -> bool:
        return abs(ellipse_px(canvas.stored()[0])[1][0] - radius_px) <= 1

    canvas.wait_for(is_there, f"radius {radius_px}")
    canvas.wait_for_rest()


def test_corners_of_a_polygon_are_moved_added_and_removed(canvas: Canvas) -> None:
    with_polygon(canvas)
    canvas.drag(PATCH[1], (3300, 700))
    moved = wait_for_revision(canvas, 2)
    assert furthest_px(moved, [PATCH[0], (3300, 700), *PATCH[2:]]) <= 1
    canvas.page.mouse.dblclick(*canvas.screen((2250, 1200)))
    added = wait_for_revision(canvas, 3)
    assert len(added) == 5
    canvas.keys("Delete")
    assert furthest_px(wait_for_revision(canvas, 4), moved) < 1e-6
    canvas.click((3300, 700))
    canvas.press("remove-corner")
    assert len(wait_for_revision(canvas, 5)) == 3
    canvas.press("add-corner")
    assert len(wait_for_revision(canvas, 6)) == 4


def test_a_fifth_corner_makes_a_rectangle_a_polygon(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.press("add-corner")
    assert len(wait_for_revision(canvas, 2)) == 5
    assert canvas.stored()[0]["outline"]["shape"] == "polygon"


def test_a_mark_is_moved_and_resized_by_keys_alone(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.stage.focus()
    canvas.keys(*["Shift+ArrowRight"] * 3, "Shift+ArrowUp")
    moved = wait_for_revision(canvas, 2)
    assert furthest_px(moved, [(x + 3, y - 1) for x, y in BOX]) <= 1
    canvas.keys("g", *["Shift+ArrowLeft"] * 5)
    resized = wait_for_revision(canvas, 3)
    assert resized[0][0] == pytest.approx(moved[0][0] - 5)
    assert resized[2] == pytest.approx(moved[2])


def test_a_mark_is_chosen_from_the_list_by_keys(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.tool("ellipse")
    canvas.drag((2500, 600), (3000, 1000))
    canvas.wait_for_marks(2)
    options = canvas.page.locator(".strip [role=option]")
    options.nth(1).focus()
    canvas.keys("ArrowLeft", "Enter")
    canvas.page.get_by_text(f"chosen: {canvas.stored()[0]['id']}").wait_for()
    assert options.nth(0).get_attribute("aria-selected") == "true"
    spoken = canvas.page.locator(".spoken").inner_text()
    assert spoken == "Mark 1, Skid plate, puncture, risk High, high voltage chosen."


@pytest.mark.parametrize("how", ["button", "key", "list"])
def test_a_mark_is_deleted_and_the_deletion_taken_back(canvas: Canvas, how: str) -> None:
    with_rectangle(canvas)
    if how == "button":
        canvas.press("delete")
    elif how == "key":
        canvas.stage.focus()
        canvas.keys("Delete")
    else:
        canvas.page.locator(".strip [role=option]").focus()
        canvas.keys("Delete")
    canvas.wait_for_marks(0)
    assert canvas.shown() == 0
    canvas.press("undo")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), BOX) <= 1


def test_undo_and_redo_go_back_and_forth_over_every_gesture(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.drag((1200, 1000), (1500, 1150))
    moved = wait_for_revision(canvas, 2)
    canvas.keys("Control+z")
    assert furthest_px(wait_for_revision(canvas, 3), BOX) <= 1
    canvas.keys("Control+z")
    canvas.wait_for_marks(0)
    canvas.keys("Control+y")
    canvas.wait_for_marks(1)
    canvas.keys("Control+Shift+z")
    canvas.wait_for(
        lambda: furthest_px(corners_px(canvas.stored()[0]), moved) < 1e-6, "the move again"
    )


def test_a_mark_is_chosen_moved_and_reshaped_by_finger(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    with_rectangle(canvas)
    finger = canvas.finger()
    finger.tap((3000, 2500))
    finger.tap((1200, 1000))
    finger.drag((1200, 1000), (1400, 1000), (1500, 1150))
    moved = wait_for_revision(canvas, 2)
    assert furthest_px(moved, [(x + 300, y + 150) for x, y in BOX]) <= 1
    finger.drag(moved[2], (2000, 1600), (2100, 1700))
    assert furthest_px([wait_for_revision(canvas, 3)[2]], [(2100, 1700)]) <= 1


def test_quick_changes_of_ones_own_do_not_collide(canvas: Canvas) -> None:
    with_rectangle(canvas)
    for step in range(4):
        canvas.drag((1200 + 50 * step, 1000), (1250 + 50 * step, 1000))
    moved = wait_for_revision(canvas, 5)
    assert furthest_px(moved, [(x + 200, y) for x, y in BOX]) <= 1
    assert canvas.page.locator(".trouble").is_hidden()


def test_a_change_over_somebody_elses_is_refused_and_theirs_is_shown(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.test_route(f"somebody/reshapes/{canvas.stored()[0]['id']}")
    canvas.drag((1200, 1000), (1300, 1000))
    assert "Somebody else changed this mark" in canvas.trouble()
    canvas.wait_for_rest()
    assert canvas.stored()[0]["revision"] == 2
    canvas.press("dismiss")
    canvas.drag((3200, 2400), (3000, 2400))
    assert wait_for_revision(canvas, 3)[0][0] == pytest.approx(0.7 * 4032 - 200, abs=1)


def test_a_mark_that_somebody_else_took_off_is_answered_by_a_sentence(canvas: Canvas) -> None:
    with_rectangle(canvas)
    canvas.test_route(f"somebody/removes/{canvas.stored()[0]['id']}")
    canvas.drag((1200, 1000), (1300, 1000))
    assert "no longer there" in canvas.trouble()
    canvas.wait_for_rest()
    assert canvas.shown() == 0
