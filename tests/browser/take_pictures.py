"""Takes the pictures of every page that stand in the docs: ``make pictures``."""

import io
import os
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import FLAGS
from tests.browser.screens.conftest import Screen
from tests.ui.running import PATIENCE_S, Running, settings_of, started
from triage_app.bootstrap import open_services
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services.demo import load_demo

FOLDER = Path(__file__).parents[2] / "docs" / "pictures" / "screens"
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
PAGES = {
    "Cases": "cases",
    "Intake and photos": "intake",
    "At the gate": "gate",
    "Make-safe record": "make-safe",
    "Mark damage": "marking",
    "Checklist": "checklist",
    "Triage": "triage",
    "Report": "report",
    "Rule book": "rule-book",
}
_COLOURS = 128


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as kept:
        folder = Path(kept)
        services = open_services(settings_of(folder))
        load_demo(services, by=Operator(name="Dana Demo", roles=frozenset(Role)))
        services.close()
        process = started(folder)
        try:
            _take(Running(process, folder / "log.txt"))
        finally:
            process.terminate()
            process.wait(timeout=PATIENCE_S)


def _take(server: Running) -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_context(viewport={"width": 1280, "height": 1000}).new_page()
        screen = Screen(page, server)
        screen.sign_in()
        for title, name in PAGES.items():
            screen.go(title)
            _keep(page, name)
            if title == "Mark damage":
                page.get_by_text("Underside map and line of impact").click()
                page.locator(".map .plan").scroll_into_view_if_needed()
                screen.settle()
                _keep(page, "underside-map")
        browser.close()


def _keep(page: Page, name: str) -> None:
    page.wait_for_load_state("networkidle")
    shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    # A palette is enough for screens, and keeps the folder small.
    shot.quantize(_COLOURS, dither=Image.Dither.FLOYDSTEINBERG).save(
        FOLDER / f"{name}.png", optimize=True
    )


if __name__ == "__main__":
    main()
