"""How quick marking is in a browser: frames with 100 marks, and from lifting to stored."""

import statistics
import time

import pytest

from tests.browser.canvas.conftest import (  # noqa: F401 - the fixtures of the canvas tests
    OpenCanvas,
    browser,
    canvas_url,
    open_canvas,
    profiles,
)
from tests.browser.canvas.driver import Canvas

pytestmark = [pytest.mark.bench, pytest.mark.browser]

WATCH_FRAMES = """() => {
  window.frames = [];
  let last = performance.now();
  const tick = (now) => {
    window.frames.push(now - last);
    last = now;
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}"""


def frames_ms(canvas: Canvas) -> str:
    taken = sorted(canvas.page.evaluate("() => window.frames.splice(0)")[1:])
    worst = taken[int(len(taken) * 0.95)]
    return f"median {statistics.median(taken):.0f} ms, 95 of 100 under {worst:.0f} ms"


def test_a_hundred_marks_stay_fluid(open_canvas: OpenCanvas) -> None:  # noqa: F811
    canvas = open_canvas()
    canvas.test_route("many/100")
    canvas.page.reload()
    canvas.wait_until_shown()
    canvas.wait_for(lambda: canvas.shown() == 100, "a hundred marks")
    canvas.page.evaluate(WATCH_FRAMES)
    mark = canvas.stored()[44]
    middle = (0.06 + 0.098 * 4) * 4032, (0.06 + 0.098 * 4) * 3024
    canvas.click(middle)
    canvas.wait_for_rest()
    frames_ms(canvas)
    canvas.page.mouse.move(*canvas.screen(middle))
    canvas.page.mouse.down()
    for step in range(1, 41):
        canvas.page.mouse.move(*canvas.screen((middle[0] + 5 * step, middle[1] + 3 * step)))
    canvas.page.mouse.up()
    print(f"\n100 marks, one dragged: {frames_ms(canvas)}")
    canvas.wait_for(
        lambda: next(m for m in canvas.stored() if m["id"] == mark["id"])["revision"] == 2,
        "the dragged mark",
    )
    canvas.keys("Escape", "Escape")
    for _ in range(3):
        canvas.press("zoom-in")
    frames_ms(canvas)
    canvas.drag((2000, 1500), (1800, 1300), (2200, 1700), (2000, 1500))
    print(f"100 marks, zoomed and panned: {frames_ms(canvas)}")


def test_from_lifting_the_pointer_to_stored(open_canvas: OpenCanvas) -> None:  # noqa: F811
    canvas = open_canvas()
    canvas.tool("rectangle")
    taken = []
    for number in range(8):
        left = 200 + 450 * number
        canvas.page.mouse.move(*canvas.screen((left, 500)))
        canvas.page.mouse.down()
        canvas.page.mouse.move(*canvas.screen((left + 300, 900)), steps=3)
        lifted = time.time()
        canvas.page.mouse.up()
        canvas.wait_for_marks(number + 1)
        taken.append(1000 * (canvas.test_route("store")["log"][-1][0] - lifted))
    print(f"\nmark to stored: median {statistics.median(taken):.0f} ms, worst {max(taken):.0f} ms")
    assert len(canvas.stored()) == 8
