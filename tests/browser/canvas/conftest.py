"""One server and one browser for all canvas tests; a new tab and an empty case for each."""

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

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
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


@pytest.fixture(scope="session")
def browser(chromium_path: Path) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_canvas(canvas_url: str, browser: Browser) -> Iterator[OpenCanvas]:
    """Return a function that opens the canvas in a new browser profile, on an empty case."""
    contexts: list[BrowserContext] = []
    httpx.get(f"{canvas_url}/test/anew", trust_env=False).raise_for_status()

    def open_one(size: tuple[int, int] = DESKTOP, *, touch: bool = False) -> Canvas:
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=touch
        )
        context.set_default_timeout(20_000)
        context.add_init_script(REMEMBER_SOCKETS)
        contexts.append(context)
        return Canvas.open(context, canvas_url)

    yield open_one
    for context in contexts:
        context.close()


@pytest.fixture
def canvas(open_canvas: OpenCanvas) -> Canvas:
    """Return the canvas on a desktop screen."""
    return open_canvas()
