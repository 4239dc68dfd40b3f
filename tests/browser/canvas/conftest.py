"""One server for all canvas tests, a browser per module, a new tab and empty case per test."""

import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from tests.browser.canvas.driver import Canvas
from tests.browser.chromium import FLAGS

DESKTOP = (1280, 800)
TABLET = (1024, 768)
TABLET_UPRIGHT = (768, 1024)

# Lets a test cut the page's own connection.
REMEMBER_SOCKETS = """
  window.openSockets = [];
  window.realSocket = window.WebSocket;
  window.WebSocket = class extends window.realSocket {
    constructor(...given) { super(...given); window.openSockets.push(this); }
  };
  const remembering = window.WebSocket;
  window.mend = () => { window.WebSocket = remembering; };
"""

OpenCanvas = Callable[..., Canvas]


@pytest.fixture(scope="session")
def canvas_url() -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "tests.browser.canvas.server", str(port)]
    with subprocess.Popen(command, cwd=Path(__file__).parents[3]) as process:
        url = f"http://127.0.0.1:{port}"
        try:
            _wait_until_healthy(url, process)
            yield url
        finally:
            process.terminate()


def _wait_until_healthy(url: str, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 60
    with httpx.Client(trust_env=False) as client:
        while time.monotonic() < deadline and process.poll() is None:
            try:
                if client.get(f"{url}/_stcore/health").is_success:
                    return
            except httpx.TransportError:
                time.sleep(0.2)
    pytest.fail("the canvas test server did not start")


# Closed after each module: while it is open, no other test could run an event loop of its own.
@pytest.fixture(scope="module")
def browser(chromium_path: Path) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def profiles(browser: Browser) -> Iterator[Callable[[tuple[int, int], bool], BrowserContext]]:
    """Return a function that gives one browser profile per kind of screen, with a warm cache."""
    made: dict[tuple[tuple[int, int], bool], BrowserContext] = {}

    def profile(size: tuple[int, int], has_touch: bool) -> BrowserContext:  # noqa: FBT001 - a key
        if (size, has_touch) not in made:
            context = browser.new_context(
                viewport={"width": size[0], "height": size[1]}, has_touch=has_touch
            )
            context.set_default_timeout(20_000)
            context.add_init_script(REMEMBER_SOCKETS)
            made[size, has_touch] = context
        return made[size, has_touch]

    yield profile
    for context in made.values():
        context.close()


@pytest.fixture
def open_canvas(
    canvas_url: str, profiles: Callable[[tuple[int, int], bool], BrowserContext]
) -> Iterator[OpenCanvas]:
    """Return a function that opens the canvas in a new tab, on an empty case."""
    opened: list[Canvas] = []
    httpx.get(f"{canvas_url}/test/anew", trust_env=False).raise_for_status()

    def open_one(size: tuple[int, int] = DESKTOP, *, touch: bool = False) -> Canvas:
        canvas = Canvas.open(profiles(size, touch), canvas_url)
        opened.append(canvas)
        return canvas

    yield open_one
    for canvas in opened:
        canvas.page.context.set_offline(False)
        canvas.page.close()


@pytest.fixture
def canvas(open_canvas: OpenCanvas) -> Canvas:
    """Return the canvas on a desktop screen."""
    return open_canvas()
