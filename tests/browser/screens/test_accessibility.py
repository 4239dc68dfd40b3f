"""No serious accessibility fault on any page, as axe-core finds them (WCAG 2.2 A and AA)."""

from collections.abc import Callable
from importlib.resources import files
from typing import Any

import pytest

from tests.browser.screens.conftest import Screen

pytestmark = pytest.mark.browser

PAGES = (
    "Cases",
    "Intake and photos",
    "At the gate",
    "Make-safe record",
    "Mark damage",
    "Checklist",
    "Triage",
    "Report",
    "Rule book",
)
WHAT = """async () => (await axe.run(document, {
  resultTypes: ['violations'],
  runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
})).violations.map(({ id, impact, help, nodes }) => ({ id, impact, help,
  where: nodes.slice(0, 6).map((node) => node.html.slice(0, 200)) }))"""


@pytest.fixture(scope="module")
def faults_of(screen: Screen) -> Callable[[], list[dict[str, Any]]]:
    """Return a function that names the serious and critical faults of the page that is shown."""
    axe = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")

    def look() -> list[dict[str, Any]]:
        # Through the developer tools: the page's own rules let no foreign script in.
        screen.page.evaluate(axe)
        found: list[dict[str, Any]] = screen.page.evaluate(WHAT)
        return [one for one in found if one["impact"] in ("serious", "critical")]

    return look


@pytest.mark.parametrize("title", PAGES)
def test_a_page_keeps_nobody_out(
    screen: Screen, faults_of: Callable[[], list[dict[str, Any]]], title: str
) -> None:
    screen.go(title)
    assert faults_of() == []


def test_the_form_beside_a_photo_and_the_map_keep_nobody_out(
    screen: Screen, faults_of: Callable[[], list[dict[str, Any]]]
) -> None:
    screen.go("Mark damage")
    screen.page.get_by_text("Underside map and line of impact").click()
    screen.page.locator(".map .tag").first.wait_for()
    assert faults_of() == []
    screen.page.locator(".map .tag").first.click()
    screen.page.get_by_role("button", name="Save this finding").wait_for()
    screen.settle()
    assert faults_of() == []


def test_the_line_of_impact_is_drawn_by_keys_alone_and_by_a_drag(screen: Screen) -> None:
    page = screen.page
    screen.go("Triage")
    screen.go("Mark damage")
    back = page.get_by_role("button", name="Back to all findings")
    if back.count():
        back.click()
        screen.settle()
    page.get_by_text("Underside map and line of impact").click()
    draw = page.get_by_role("button", name="Draw the line of travel")
    screen.settle()
    draw.press("Enter")
    page.locator(".map .plan.drawing:focus").wait_for()
    for key in ("Space", *["ArrowDown"] * 8, "Space"):
        page.keyboard.press(key)
    page.get_by_text("Drawn by Erin Estimator").wait_for()
    page.get_by_role("button", name="Take the line off").click()
    page.get_by_text("Drawn by Erin Estimator").wait_for(state="detached")
    draw.click()
    page.locator(".map .plan").scroll_into_view_if_needed()
    plan = page.locator(".map .plan").bounding_box()
    assert plan
    page.mouse.move(plan["x"] + plan["width"] * 0.4, plan["y"] + 20)
    page.mouse.down()
    page.mouse.move(plan["x"] + plan["width"] * 0.5, plan["y"] + 200, steps=4)
    page.mouse.up()
    page.get_by_text("Drawn by Erin Estimator").wait_for()


def test_signing_in_keeps_nobody_out(
    screen: Screen, faults_of: Callable[[], list[dict[str, Any]]]
) -> None:
    screen.page.goto(f"{screen.server.address}/sign-in?switch=1")
    assert faults_of() == []
