"""What a hand in a glove needs: a freehand line, a loupe, snapping, adding and cutting, a side."""

import math

import pytest

from tests.browser.canvas.conftest import TABLET, OpenCanvas
from tests.browser.canvas.driver import Canvas, Xy, corners_px, furthest_px
from triage_app.ui.widgets.photo_canvas.component import script

pytestmark = pytest.mark.browser

BOX = [(1000.0, 800.0), (2000.0, 800.0), (2000.0, 1600.0), (1000.0, 1600.0)]


def circle(centre: Xy, radius: float, turns: float = 1.0) -> list[Xy]:
    steps = range(int(24 * turns) + 1)
    return [
        (
            centre[0] + radius * math.cos(math.tau * i / 24),
            centre[1] + radius * math.sin(math.tau * i / 24),
        )
        for i in steps
    ]


def area_px(ring: list[Xy]) -> float:
    pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
    return abs(sum(x * b - a * y for (x, y), (a, b) in pairs)) / 2


def with_box(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    canvas.drag(BOX[0], BOX[2])
    canvas.wait_for_marks(1)
    canvas.tool("select")


def test_a_freehand_line_becomes_a_polygon_without_its_overshoot(canvas: Canvas) -> None:
    canvas.tool("freehand")
    # A quarter turn too far, a little inside of where it began: the line crosses itself.
    line = circle((2000, 1500), 800) + circle((1990, 1500), 770, 0.25)[1:]
    canvas.drag(line[0], *line[1:])
    (mark,) = canvas.wait_for_marks(1)
    ring = corners_px(mark)
    assert 12 <= len(ring) <= 60
    assert area_px(ring) == pytest.approx(math.pi * 800**2, rel=0.05)


def test_a_cleaned_line_never_crosses_itself_and_keeps_its_area(canvas: Canvas) -> None:
    crossings = canvas.page.evaluate(
        """async (code) => {
          const module = URL.createObjectURL(new Blob([code], { type: 'text/javascript' }));
          const { cleanRing, firstCrossing } = await import(module);
          let seed = 7;
          const chance = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
          let left = 0;
          for (let round = 0; round < 60; round += 1) {
            const line = Array.from({ length: 120 }, (_, i) => {
              const turn = (i / 110) * 2 * Math.PI;
              const radius = 300 + 120 * chance();
              return [1000 + radius * Math.cos(turn), 900 + radius * Math.sin(turn)];
            });
            if (firstCrossing(cleanRing(line, 2))) left += 1;
          }
          return left;
        }""",
        script(),
    )
    assert crossings == 0


def test_a_reload_in_the_middle_of_a_freehand_line_keeps_it(canvas: Canvas) -> None:
    canvas.tool("freehand")
    mouse = canvas.page.mouse
    line = circle((2000, 1500), 800)
    mouse.move(*canvas.screen(line[0]))
    mouse.down()
    for place in line[1:13]:
        mouse.move(*canvas.screen(place), steps=3)
    canvas.page.reload()
    canvas.wait_until_shown()
    assert len(canvas.kept()["draft"]["points"]) > 12
    canvas.drag(line[13], *line[14:])
    (mark,) = canvas.wait_for_marks(1)
    assert area_px(corners_px(mark)) == pytest.approx(math.pi * 800**2, rel=0.05)


def test_a_finger_sees_under_itself_while_it_draws_and_only_then(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas(TABLET, touch=True)
    loupe, finger = canvas.page.locator(".loupe"), canvas.finger()
    canvas.tool("rectangle")
    finger.send("touchStart", [(1500, 1200)])
    finger.send("touchMove", [(2000, 1500)])
    assert loupe.is_visible()
    finger.send("touchEnd", [])
    canvas.wait_for_marks(1)
    assert loupe.is_hidden()


def test_corners_snap_to_a_strong_edge_on_request(canvas: Canvas) -> None:
    """The test photo has bands from 800 to 1200 px, and lines at each 100 px."""
    canvas.press("snap")
    snap = canvas.page.locator("[data-do=snap]")
    canvas.wait_for(lambda: snap.get_attribute("aria-busy") == "false", "the edges")
    assert snap.get_attribute("aria-pressed") == "true"
    off = [(1223.0, 850.0), (2385.0, 860.0), (1790.0, 1930.0)]
    canvas.tool("polygon")
    canvas.click(*off)
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    for (x, y), (was_x, was_y) in zip(corners_px(mark), off, strict=True):
        to_line = min(abs(x - 100 * round(x / 100)), abs(y - 100 * round(y / 100)))
        assert to_line <= 2.5
        assert (x, y) != (was_x, was_y)


def test_a_shape_is_added_to_a_mark_and_a_hole_cut_out_of_it(canvas: Canvas) -> None:
    with_box(canvas)
    canvas.press("join")
    assert "has to touch" in canvas.page.locator(".hint").inner_text()
    canvas.drag((1800, 1200), (2600, 2000))
    canvas.wait_for(lambda: canvas.stored()[0]["revision"] == 2, "the sum")
    canvas.wait_for_rest()
    (mark,) = canvas.stored()
    assert area_px(corners_px(mark)) == pytest.approx(1000 * 800 + 800 * 800 - 200 * 400, rel=0.01)
    canvas.press("cut")
    canvas.drag((1300, 1000), (1600, 1300))
    canvas.wait_for(lambda: canvas.stored()[0]["revision"] == 3, "the hole")
    assert len(canvas.stored()[0]["outline"]["rings"]) == 2
    canvas.wait_for_rest()
    canvas.keys("Control+z")
    canvas.wait_for(lambda: len(canvas.stored()[0]["outline"]["rings"]) == 1, "no hole")


def test_what_does_not_touch_is_refused_in_a_sentence(canvas: Canvas) -> None:
    with_box(canvas)
    canvas.stage.focus()
    canvas.keys("a")
    canvas.drag((3000, 2000), (3400, 2400))
    assert "does not touch" in canvas.trouble()
    canvas.wait_for_rest()
    assert furthest_px(corners_px(canvas.stored()[0]), BOX) <= 1


def pointer(canvas: Canvas, kind: str, type_: str, place: Xy, number: int, wide: int = 2) -> None:
    """Send one pointer event of a pen, finger or palm, as a tablet would."""
    x, y = canvas.screen(place)
    canvas.stage.evaluate(
        """(stage, [kind, type, x, y, id, wide]) => {
          stage.setPointerCapture = () => {};
          stage.dispatchEvent(new PointerEvent(kind, { pointerType: type, pointerId: id,
            clientX: x, clientY: y, width: wide, height: wide, button: 0, bubbles: true }));
        }""",
        [kind, type_, x, y, number, wide],
    )


def test_a_resting_hand_draws_nothing_while_a_pen_is_in_use(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    pointer(canvas, "pointerdown", "touch", (2500, 2000), 1)  # the hand comes down first
    pointer(canvas, "pointerdown", "pen", (1000, 800), 2)
    pointer(canvas, "pointermove", "touch", (2600, 2200), 1)
    pointer(canvas, "pointermove", "pen", (1800, 1400), 2)
    pointer(canvas, "pointerup", "pen", (1800, 1400), 2)
    pointer(canvas, "pointerup", "touch", (2600, 2200), 1)
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px([corners_px(mark)[2]], [(1800, 1400)]) <= 4
    pointer(canvas, "pointerdown", "touch", (2500, 2000), 3)
    pointer(canvas, "pointermove", "touch", (3100, 2400), 3)
    pointer(canvas, "pointerup", "touch", (3100, 2400), 3)
    canvas.wait_for_rest()
    assert len(canvas.stored()) == 1


def test_a_palm_without_a_pen_draws_nothing(canvas: Canvas) -> None:
    canvas.tool("rectangle")
    for kind, place in (("pointerdown", (1000, 800)), ("pointermove", (2000, 1600))):
        pointer(canvas, kind, "touch", place, 1, wide=90)
    pointer(canvas, "pointerup", "touch", (2000, 1600), 1, wide=90)
    canvas.wait_for_rest()
    assert canvas.stored() == []
    assert canvas.kept().get("draft") is None


def test_the_left_hand_layout_holds_on_this_device(canvas: Canvas) -> None:
    def is_left() -> bool:
        button = canvas.page.locator("[data-do=hand]").bounding_box()
        foot = canvas.page.locator(".canvas .foot").bounding_box()
        assert button
        assert foot
        return button["x"] < foot["x"] + foot["width"] / 2

    assert not is_left()
    canvas.press("hand")
    assert is_left()
    canvas.page.reload()
    canvas.wait_until_shown()
    assert is_left()
    assert canvas.page.evaluate("() => document.documentElement.dataset.ubHand") == "left"
    canvas.press("hand")
    assert not is_left()
