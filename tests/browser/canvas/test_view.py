"""Zoom, pan, tags, sizes of buttons, and the one conversion between pixels and fractions."""

import math

import pytest

from tests.browser.canvas.conftest import DESKTOP, TABLET, TABLET_UPRIGHT, OpenCanvas
from tests.browser.canvas.driver import Canvas
from tests.browser.canvas.marks_on_file import HEIGHT_PX, WIDTH_PX
from triage_app.ui.widgets.photo_canvas.component import script

pytestmark = pytest.mark.browser


def test_the_wheel_zooms_about_the_pointer(canvas: Canvas) -> None:
    place = (1500.0, 1000.0)
    sx, sy = canvas.screen(place)
    canvas.page.mouse.move(sx, sy)
    canvas.page.mouse.wheel(0, -600)
    canvas.wait_for(lambda: canvas.view()[0] > 0.3, "a larger view")
    assert canvas.screen(place) == pytest.approx((sx, sy), abs=1)


def test_two_fingers_zoom_and_pan_and_draw_nothing(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    canvas.tool("rectangle")
    scale = canvas.view()[0]
    under = canvas.view()
    middle = ((500 - under[1]) / scale, (450 - under[2]) / scale)
    canvas.finger().pinch(((450, 450), (550, 450)), ((340, 500), (740, 500)))
    assert canvas.view()[0] == pytest.approx(4 * scale, rel=0.02)
    assert canvas.screen(middle) == pytest.approx((540, 500), abs=2)
    assert canvas.stored() == []
    assert canvas.kept().get("draft") is None


def test_a_second_finger_takes_back_the_stroke_of_the_first(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    canvas.tool("polygon")
    finger = canvas.finger()
    finger.tap((600, 600), (1500, 700))
    finger.pinch(((450, 450), (550, 450)), ((400, 450), (600, 450)))
    assert len(canvas.kept()["draft"]["points"]) == 2


def test_space_and_a_drag_pan_whatever_the_tool_is(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    for _ in range(4):
        canvas.press("zoom-in")
    _, x, y = canvas.view()
    canvas.stage.focus()
    canvas.page.keyboard.down(" ")
    canvas.page.mouse.move(600, 400)
    canvas.page.mouse.down()
    canvas.page.mouse.move(560, 380, steps=4)
    canvas.page.mouse.up()
    canvas.page.keyboard.up(" ")
    assert canvas.view()[1:] == pytest.approx((x - 40, y - 20), abs=1)
    assert canvas.stored() == []


def test_keys_zoom_pan_and_show_the_whole_photo_again(canvas: Canvas) -> None:
    whole = canvas.view()
    canvas.stage.focus()
    canvas.keys("+", "+", "+")
    zoomed = canvas.view()
    canvas.keys("ArrowRight")
    assert zoomed[0] > whole[0]
    assert canvas.view()[1] < zoomed[1]
    canvas.keys("-", "0")
    assert canvas.view() == whole


def test_a_wheel_turned_outwards_at_the_whole_photo_scrolls_the_page(
    open_canvas: OpenCanvas,
) -> None:
    canvas = open_canvas((1280, 500))
    before = canvas.stage.bounding_box()
    canvas.page.mouse.move(640, 300)
    canvas.page.mouse.wheel(0, 200)
    canvas.wait_for(lambda: canvas.stage.bounding_box() != before, "a scrolled page")


@pytest.mark.parametrize("size", [DESKTOP, TABLET, TABLET_UPRIGHT], ids=str)
def test_every_button_can_be_hit_with_a_glove_and_the_photo_is_large(
    open_canvas: OpenCanvas, size: tuple[int, int]
) -> None:
    canvas = open_canvas(size, touch=True)
    canvas.tool("rectangle")
    canvas.drag((800, 600), (1600, 1400))
    canvas.wait_for_marks(1)
    canvas.tool("select")
    for button in canvas.page.locator(".canvas button:visible").all():
        box = button.bounding_box()
        assert box
        assert min(box["width"], box["height"]) >= 44, button.inner_text()
    stage = canvas.stage.bounding_box()
    assert stage
    assert stage["height"] >= 0.6 * size[1]
    assert canvas.page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_a_tag_never_lies_on_a_mark_that_it_can_avoid(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    for i in range(5):
        canvas.drag((300 + 700 * i, 500 + 300 * i), (800 + 700 * i, 1000 + 300 * i))
    canvas.wait_for_marks(5)
    tags = [tag.bounding_box() for tag in canvas.page.locator(".ink .tag").all()]
    assert len(tags) == 5
    for mark in canvas.stored():
        (left, top), (right, bottom) = (
            canvas.screen((x * WIDTH_PX, y * HEIGHT_PX))
            for x, y in (mark["outline"]["rings"][0][0], mark["outline"]["rings"][0][2])
        )
        for tag in tags:
            assert tag
            is_beside = tag["x"] + tag["width"] <= left or tag["x"] >= right
            is_above = tag["y"] + tag["height"] <= top or tag["y"] >= bottom
            assert is_beside or is_above


def test_a_mark_that_fills_the_view_has_no_tag_on_it(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.drag((100, 100), (3900, 2900))
    canvas.wait_for_marks(1)
    canvas.tool("select")
    for _ in range(5):
        canvas.press("zoom-in")
    assert canvas.page.locator(".ink .tag").count() == 0
    assert canvas.page.locator(".strip [role=option]").count() == 1


def test_pixels_become_fractions_and_pixels_again_at_every_zoom(canvas: Canvas) -> None:
    """The browser's own conversion, over many places, photo sizes and zooms."""
    worst = canvas.page.evaluate(
        """async (code) => {
          const module = URL.createObjectURL(new Blob([code], { type: 'text/javascript' }));
          const { fromStore, toStore, View } = await import(module);
          let worst = 0;
          for (const [width, height] of [[4032, 3024], [3024, 4032], [8000, 6000], [641, 479]]) {
            const size = { width, height };
            const view = new View(size);
            view.resize(1000, 600);
            for (let step = 0; step < 18; step += 1) {
              for (let i = 0; i <= 40; i += 1) {
                const place = [(i * width) / 40, ((40 - i) * height) / 40];
                const outline = { shape: 'polygon', rings: [[place]] };
                const back = fromStore(toStore(outline, size), size).rings[0][0];
                const seen = view.toPhoto(view.toScreen(place));
                for (const axis of [0, 1]) {
                  worst = Math.max(worst, Math.abs(back[axis] - place[axis]),
                    Math.abs(seen[axis] - place[axis]));
                }
              }
              view.step(1);
            }
          }
          return worst;
        }""",
        script(),
    )
    assert isinstance(worst, float)
    assert math.isfinite(worst)
    assert worst < 1e-6
