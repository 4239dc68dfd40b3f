"""Drives the canvas as a person would: by mouse, by finger, by key; and reads what is stored."""

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Self

import httpx
from playwright.sync_api import BrowserContext, CDPSession, Locator, Page

from tests.browser.canvas.marks_on_file import HEIGHT_PX, WIDTH_PX
from tests.browser.canvas.server import COOKIE

Xy = tuple[float, float]
WAIT_S = 15.0


@dataclass(slots=True)
class Canvas:
    """One tab with the canvas in it. Places are pixels of the upright photo unless said."""

    page: Page
    url: str

    @classmethod
    def open(cls, context: BrowserContext, url: str, *, query: str = "") -> Self:
        context.add_cookies([{"name": "signed_in", "value": COOKIE, "url": url}])
        page = context.new_page()
        page.goto(f"{url}/{query}")
        canvas = cls(page, url)
        canvas.wait_until_shown()
        return canvas

    def wait_until_shown(self) -> None:
        self.page.wait_for_selector(".canvas .stage")
        self.page.wait_for_function(
            """() => {
              const deep = (root) => root.querySelector('.stage') ?? [...root.querySelectorAll('*')]
                .filter((n) => n.shadowRoot).map((n) => deep(n.shadowRoot)).find(Boolean);
              return deep(document)?.querySelector('.loading')?.hidden;
            }"""
        )

    @property
    def stage(self) -> Locator:
        return self.page.locator(".canvas .stage")

    def tool(self, name: str) -> None:
        self.page.locator(f"[data-tool={name}]").click()

    def press(self, name: str) -> None:
        self.page.locator(f"[data-do={name}]").click()

    def keys(self, *names: str) -> None:
        for name in names:
            self.page.keyboard.press(name)

    # --- places -------------------------------------------------------------------------

    def view(self) -> tuple[float, float, float]:
        """Return scale, x and y: screen = photo * scale + offset, in the browser's window."""
        self.page.evaluate("() => new Promise((done) => requestAnimationFrame(done))")
        numbers = [
            float(part) for part in self.transform().removeprefix("matrix(").rstrip(")").split()
        ]
        left, top = self.stage.evaluate(
            "(s) => { const r = s.getBoundingClientRect();"
            " return [r.left + s.clientLeft, r.top + s.clientTop]; }"
        )
        return numbers[0], numbers[4] + left, numbers[5] + top

    def transform(self) -> str:
        """Return what part of the photo is shown, wherever the page is scrolled to."""
        return self.page.locator(".ink .world").get_attribute("transform") or ""

    def screen(self, place: Xy) -> Xy:
        scale, x, y = self.view()
        return place[0] * scale + x, place[1] * scale + y

    def whole_pixel(self, place: Xy) -> Xy:
        """Return the place on the photo under the whole screen pixel nearest to ``place``."""
        scale, x, y = self.view()
        sx, sy = self.screen(place)
        return (round(sx) - x) / scale, (round(sy) - y) / scale

    # --- mouse and finger ---------------------------------------------------------------

    def drag(self, start: Xy, *way: Xy) -> None:
        mouse = self.page.mouse
        mouse.move(*self.screen(start))
        mouse.down()
        for place in way:
            mouse.move(*self.screen(place), steps=3)
        mouse.up()

    def click(self, *places: Xy) -> None:
        for place in places:
            self.page.mouse.click(*self.screen(place))

    def finger(self) -> "Finger":
        return Finger(self, self.page.context.new_cdp_session(self.page))

    # --- what is stored and shown -------------------------------------------------------

    def test_route(self, path: str) -> Any:  # JSON
        with httpx.Client(trust_env=False) as client:
            return client.get(f"{self.url}/test/{path}").raise_for_status().json()

    def stored(self) -> list[dict[str, Any]]:
        marks: list[dict[str, Any]] = self.test_route("store")["marks"]
        return marks

    def wait_for(self, is_done: Callable[[], bool], what: str) -> None:
        deadline = time.monotonic() + WAIT_S
        while not is_done():
            if time.monotonic() > deadline:
                raise AssertionError(f"waited in vain: {what}; stored: {self.stored()}")
            self.page.wait_for_timeout(40)

    def wait_for_marks(self, count: int) -> list[dict[str, Any]]:
        self.wait_for(lambda: len(self.stored()) == count, f"{count} marks")
        self.wait_for_rest()
        return self.stored()

    def wait_for_rest(self) -> None:
        """Wait until the browser holds nothing that was not answered, and no script runs."""
        self.wait_for(lambda: not self.queue(), "an empty queue")
        self.page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")

    def queue(self) -> list[dict[str, Any]]:
        kept = self.kept()
        queue: list[dict[str, Any]] = kept.get("queue", [])
        return queue

    def kept(self) -> dict[str, Any]:
        """Return what the tab keeps for this canvas across a reload."""
        kept: dict[str, Any] = self.page.evaluate(
            "() => JSON.parse(Object.entries(sessionStorage)"
            ".find(([name]) => name.startsWith('photo-canvas:'))?.[1] ?? '{}')"
        )
        return kept

    def trouble(self) -> str:
        box = self.page.locator(".trouble")
        box.wait_for()
        return box.locator("span").inner_text()

    def shown(self) -> int:
        return self.page.locator(".ink .mark").count()


@dataclass(slots=True)
class Finger:
    """Touches by the browser's own touch emulation; places are pixels of the upright photo."""

    canvas: Canvas
    session: CDPSession

    def send(self, kind: str, places: Iterable[Xy]) -> None:
        points = [
            {"x": x, "y": y, "id": i, "force": 1}
            for i, (x, y) in enumerate(self.canvas.screen(place) for place in places)
        ]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def tap(self, *places: Xy) -> None:
        for place in places:
            self.send("touchStart", [place])
            self.send("touchEnd", [])

    def drag(self, start: Xy, *way: Xy) -> None:
        self.send("touchStart", [start])
        for place in way:
            self.send("touchMove", [place])
        self.send("touchEnd", [])

    def pinch(self, start: tuple[Xy, Xy], end: tuple[Xy, Xy]) -> None:
        """Move two fingers; places are screen pixels here, since the photo moves under them."""

        def send(kind: str, places: Iterable[Xy]) -> None:
            points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
            self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        send("touchStart", start[:1])
        send("touchStart", start)
        for step in range(1, 6):
            share = step / 5
            send(
                "touchMove",
                [
                    (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
                    for a, b in zip(start, end, strict=True)
                ],
            )
        send("touchEnd", [])


def corners_px(mark: dict[str, Any]) -> list[Xy]:
    """Return the corners of a stored rectangle or polygon in photo pixels."""
    return [(x * WIDTH_PX, y * HEIGHT_PX) for x, y in mark["outline"]["rings"][0]]


def ellipse_px(mark: dict[str, Any]) -> tuple[Xy, Xy]:
    """Return centre and radii of a stored ellipse in photo pixels."""
    centre, radii = mark["outline"]["centre"], mark["outline"]["radii_px"]
    return (centre[0] * WIDTH_PX, centre[1] * HEIGHT_PX), (radii[0], radii[1])


def furthest_px(found: list[Xy], wanted: list[Xy]) -> float:
    """Return by how many photo pixels the worst corner is off."""
    assert len(found) == len(wanted)
    return max(max(abs(a[0] - b[0]), abs(a[1] - b[1])) for a, b in zip(found, wanted, strict=True))
