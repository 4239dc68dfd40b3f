"""The real server on the demo case, and one browser on it for all screen tests."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import FLAGS
from tests.people import PASSWORD
from tests.ui.running import PATIENCE_S, Running, settings_of, started, with_person
from triage_app.bootstrap import open_services
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services.demo import load_demo

SETTLED = "[data-testid=stApp][data-test-script-state=notRunning]"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("screens")
    services = open_services(settings_of(folder))
    load_demo(services, by=Operator(name="Dana Demo", roles=frozenset(Role)))
    services.close()
    process = started(folder)
    try:
        yield Running(process, folder / "log.txt")
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


class Screen:
    """One tab of a signed-in person, with what it complained of and what it asked other hosts."""

    def __init__(self, page: Page, server: Running) -> None:
        self.page = page
        self.server = server
        self.complaints: list[str] = []
        self.asked_elsewhere: list[str] = []
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda said: self._hear(said.type, said.text))
        page.on("request", lambda request: self._watch(request.url))

    def sign_in(self, name: str = "Erin Estimator") -> None:
        """Sign this person in, in every role; their account is made where there is none."""
        with_person(self.server.folder, name)
        self.page.goto(f"{self.server.address}/sign-in?switch=1")
        self.page.fill("#name", name)
        self.page.fill("#password", PASSWORD)
        self.page.click("button[type=submit]")
        self.settle()

    def sign_out(self) -> None:
        self.page.get_by_role("button", name="Sign out").click()
        self.page.wait_for_url("**/sign-in")

    def go(self, title: str) -> None:
        """Go to a page by the links at the top."""
        way = self.page.locator(".st-key-ub-way")
        way.get_by_test_id("stPageLink-NavLink").filter(has_text=title).click()
        self.settle()

    def settle(self) -> None:
        """Wait until the page has been still for a moment."""
        for _ in range(3):
            self.page.wait_for_selector(SETTLED, timeout=60_000)
            self.page.wait_for_timeout(200)

    def _hear(self, kind: str, said: str) -> None:
        # Streamlit first looks for its own addresses below the page's; a 404 there is its way.
        if kind == "error" and "404 (Not Found)" not in said:
            self.complaints.append(said)

    def _watch(self, url: str) -> None:
        if not url.startswith((self.server.address, "ws://127.0.0.1", "blob:", "data:")):
            self.asked_elsewhere.append(url)


@pytest.fixture(scope="module")
def screen(server: Running, chromium_path: Path) -> Iterator[Screen]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.set_default_timeout(30_000)
        screen = Screen(page, server)
        screen.sign_in()
        yield screen
        browser.close()
