"""Nothing that was drawn is lost: quick strokes, reload, lost connection, full disk, rerun."""

import pytest
from playwright.sync_api import Request

from tests.browser.canvas.conftest import OpenCanvas
from tests.browser.canvas.driver import Canvas, corners_px, furthest_px

pytestmark = pytest.mark.browser

CORNERS = [(700.0, 800.0), (1500.0, 900.0), (1400.0, 1800.0), (800.0, 1600.0)]


def draw_boxes(canvas: Canvas, count: int) -> None:
    canvas.tool("rectangle")
    for i in range(count):
        canvas.drag((200 + 900 * i, 400), (900 + 900 * i, 1200))


def test_four_strokes_quicker_than_the_page_answers_all_arrive_once(canvas: Canvas) -> None:
    draw_boxes(canvas, 4)
    marks = canvas.wait_for_marks(4)
    assert [mark["number"] for mark in marks] == [1, 2, 3, 4]
    drawn = [kind for _, kind in canvas.test_route("store")["log"]]
    assert drawn == ["mark drawn"] * 4


def test_a_reload_in_the_middle_of_a_polygon_keeps_its_corners(canvas: Canvas) -> None:
    canvas.tool("polygon")
    canvas.click(*CORNERS[:3])
    canvas.page.reload()
    canvas.wait_until_shown()
    canvas.click(CORNERS[3])
    canvas.press("finish")
    (mark,) = canvas.wait_for_marks(1)
    assert furthest_px(corners_px(mark), CORNERS) <= 1


def test_strokes_drawn_without_a_connection_arrive_when_it_is_back(canvas: Canvas) -> None:
    draw_boxes(canvas, 1)
    canvas.wait_for_marks(1)
    break_connection(canvas)
    canvas.drag((200, 1600), (900, 2400))
    canvas.drag((1200, 1600), (1900, 2400))
    canvas.page.wait_for_timeout(1500)
    assert len(canvas.stored()) == 1
    assert canvas.shown() == 3
    mend_connection(canvas)
    canvas.wait_for_marks(3)


def test_strokes_drawn_without_a_connection_survive_a_reload(canvas: Canvas) -> None:
    draw_boxes(canvas, 1)
    canvas.wait_for_marks(1)
    break_connection(canvas)
    canvas.drag((200, 1600), (900, 2400))
    mend_connection(canvas)
    canvas.page.reload()
    canvas.wait_until_shown()
    canvas.wait_for_marks(2)


def break_connection(canvas: Canvas) -> None:
    """Close the page's websocket and refuse new ones, as a dead spot in the workshop would."""
    canvas.page.evaluate(
        """() => {
          window.openSockets.forEach((socket) => socket.close());
          window.WebSocket = class { constructor() { throw new Error('no connection'); } };
        }"""
    )
    canvas.page.context.set_offline(True)


def mend_connection(canvas: Canvas) -> None:
    canvas.page.context.set_offline(False)
    canvas.page.evaluate("() => window.mend()")


def test_what_a_full_disk_refuses_is_kept_and_stored_later(canvas: Canvas) -> None:
    canvas.test_route("disk/full")
    draw_boxes(canvas, 2)
    assert "disk is full" in canvas.trouble()
    assert canvas.stored() == []
    canvas.page.get_by_text("Not stored yet: 2 changes").wait_for()
    canvas.test_route("disk/free")
    canvas.wait_for_marks(2)
    assert canvas.page.locator(".kept").inner_text() == "All marks stored"
    assert canvas.page.locator(".trouble").is_hidden()


def test_a_gesture_sent_twice_counts_once(canvas: Canvas) -> None:
    """The tab was reloaded after the store had the mark and before the answer came."""
    draw_boxes(canvas, 1)
    canvas.wait_for_marks(1)
    sent = canvas.stored()[0]
    gesture = {"seq": 1, "kind": "draw", "mark_id": sent["id"], "outline": sent["outline"]}
    canvas.page.evaluate(
        """(gesture) => {
          const name = Object.keys(sessionStorage).find((key) => key.startsWith('photo-canvas:'));
          sessionStorage.setItem(name, JSON.stringify({ seq: 1, queue: [gesture] }));
        }""",
        gesture,
    )
    canvas.page.reload()
    canvas.wait_until_shown()
    canvas.wait_for_rest()
    assert [mark["id"] for mark in canvas.stored()] == [sent["id"]]


def test_one_bad_gesture_is_answered_and_the_others_are_stored(canvas: Canvas) -> None:
    outline = {"shape": "rectangle", "rings": [[[0.1, 0.1], [0.2, 0.1], [0.2, 0.2], [0.1, 0.2]]]}
    outside = {"shape": "polygon", "rings": [[[0.1, 0.1], [0.2, 0.1], [1.2, 0.2]]]}
    queue = [
        {"seq": 1, "kind": "draw", "mark_id": "a1", "outline": outline},
        {"seq": 2, "kind": "draw", "mark_id": "a2", "outline": outside},
        {"seq": 3, "kind": "draw", "mark_id": "a3", "outline": outline},
    ]
    canvas.page.evaluate(
        "(kept) => sessionStorage.setItem("
        "'photo-canvas:canvas-case-1-photo-1-tester', JSON.stringify(kept))",
        {"seq": 3, "queue": queue},
    )
    canvas.page.reload()
    canvas.wait_until_shown()
    assert canvas.trouble() == "An outline reaches outside the photo."
    assert [mark["id"] for mark in canvas.wait_for_marks(2)] == ["a1", "a3"]


def test_a_rerun_sends_no_picture_and_keeps_view_choice_and_half_drawn_shape(
    canvas: Canvas,
) -> None:
    draw_boxes(canvas, 1)
    canvas.wait_for_marks(1)
    canvas.tool("polygon")
    canvas.press("zoom-in")
    canvas.page.mouse.click(500, 400)
    canvas.page.mouse.click(600, 500)
    asked: list[str] = []

    def note(request: Request) -> None:
        asked.append(request.url)

    canvas.page.on("request", note)
    before, runs = canvas.transform(), canvas.test_route("store")["runs"]
    canvas.stage.evaluate("(stage) => { stage.isTheSame = true; }")
    canvas.page.get_by_role("button", name="Run again").click()
    canvas.wait_for(lambda: canvas.test_route("store")["runs"] > runs, "another run")
    canvas.wait_for_rest()
    assert [url for url in asked if "/pictures/" in url] == []
    assert canvas.transform() == before
    assert canvas.stage.evaluate("(stage) => stage.isTheSame") is True
    assert canvas.page.locator(".ink .mark.selected").count() == 1
    assert len(canvas.kept()["draft"]["points"]) == 2


def test_the_full_photo_is_asked_for_once_and_only_when_zoomed(open_canvas: OpenCanvas) -> None:
    canvas = open_canvas()
    asked: list[str] = []
    canvas.page.on("request", lambda request: asked.append(request.url))
    canvas.press("zoom-in")
    canvas.press("zoom-in")
    assert [url for url in asked if url.endswith("full.jpg")] == []
    for _ in range(8):
        canvas.press("zoom-in")
    canvas.page.locator(".full").wait_for()
    canvas.press("fit")
    canvas.press("zoom-in")
    assert len([url for url in asked if url.endswith("full.jpg")]) == 1


def test_two_tabs_see_each_others_marks_and_lose_none(open_canvas: OpenCanvas) -> None:
    one, other = open_canvas(), open_canvas()
    draw_boxes(one, 1)
    one.wait_for_marks(1)
    other.tool("ellipse")
    other.drag((2000, 1000), (3000, 1600))
    other.wait_for_marks(2)
    assert other.shown() == 2
    # The other tab lies in front; this one looks again as soon as somebody is at it.
    one.page.bring_to_front()
    one.page.mouse.move(300, 300)
    one.wait_for(lambda: one.shown() == 2, "the other's mark")
