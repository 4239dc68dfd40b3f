"""Usable on a 10-inch tablet: large targets, large type, nothing cut off, nothing from outside."""

from pathlib import Path

import pytest
from docx import Document

from tests.browser.screens.conftest import Screen
from tests.people import PASSWORD

pytestmark = pytest.mark.browser

SIZES = {"desktop": (1280, 800), "tablet": (1024, 768), "tablet upright": (768, 1024)}
CASE_PAGES = ("Intake and photos", "Make-safe record", "Mark damage", "Triage", "Report")
PAGES = ("Cases", *CASE_PAGES, "Rule book")

MEASURE = Path(__file__).with_name("measure.js").read_text(encoding="utf-8").rstrip(";\n")


@pytest.fixture(params=SIZES, ids=list(SIZES))
def sized(request: pytest.FixtureRequest, screen: Screen) -> Screen:
    width, height = SIZES[request.param]
    screen.page.set_viewport_size({"width": width, "height": height})
    return screen


@pytest.mark.parametrize("title", PAGES)
def test_a_page_fits_and_can_be_read_and_touched_with_a_glove(sized: Screen, title: str) -> None:
    sized.go(title)
    for shortfall in ("cutOff", "smallTargets", "smallType"):
        assert sized.page.evaluate(MEASURE, shortfall) == []


def test_the_form_beside_a_photo_fits_and_can_be_touched(sized: Screen) -> None:
    sized.go("Mark damage")
    back = sized.page.get_by_role("button", name="Back to all findings")
    if back.count():
        back.click()
        sized.settle()
    sized.page.get_by_role("button", name="3 · Skid plate").first.click()
    sized.page.get_by_role("button", name="Save this finding").wait_for()
    sized.settle()
    for shortfall in ("cutOff", "smallTargets", "smallType"):
        assert sized.page.evaluate(MEASURE, shortfall) == []


@pytest.mark.parametrize("title", CASE_PAGES)
def test_the_notice_is_in_view_and_has_no_way_to_put_it_away(sized: Screen, title: str) -> None:
    sized.go(title)
    notice = sized.page.locator(".ub-hv")
    assert notice.is_visible()
    assert "A disconnected battery still holds its energy." in notice.inner_text()
    assert notice.locator("button").count() == 0
    assert notice.locator("img.ub-sign").evaluate("picture => picture.naturalWidth") > 0


def test_pictures_are_drawn_on_every_page_that_shows_them(screen: Screen) -> None:
    for title, pictures in (
        ("Intake and photos", ".ub-grid img"),
        ("Triage", ".ub-closeup img:first-child"),
    ):
        screen.go(title)
        found = screen.page.locator(pictures)
        assert found.count() > 0
        for at in range(found.count()):
            found.nth(at).scroll_into_view_if_needed()
            found.nth(at).evaluate("picture => picture.decode()")


def test_a_tap_on_the_strip_turns_to_that_photo_and_a_reload_stays_there(screen: Screen) -> None:
    screen.go("Mark damage")
    screen.page.get_by_role("button", name="Photo 3,").click()
    screen.settle()
    assert screen.page.get_by_text("Photo 3 of 8").is_visible()
    screen.page.reload()
    screen.settle()
    assert screen.page.get_by_text("Photo 3 of 8").is_visible()
    assert "photo=" in screen.page.url


def test_the_report_is_fetched_as_a_word_file(screen: Screen) -> None:
    screen.go("Report")
    screen.page.get_by_role("button", name="Make the Word report").click()
    screen.page.get_by_role("link", name="Download").first.wait_for(timeout=120_000)
    with screen.page.expect_download() as download:
        screen.page.get_by_role("link", name="Download").first.click()
    assert download.value.suggested_filename.endswith(".docx")
    assert Document(str(download.value.path())).paragraphs


def test_a_deep_link_leads_through_signing_in_to_its_page(screen: Screen) -> None:
    """The last but one: it signs out, and in again."""
    screen.go("Triage")
    wanted = screen.page.url
    screen.sign_out()
    screen.page.goto(wanted)
    assert "/sign-in?next=" in screen.page.url
    assert screen.page.get_by_text("DEMO-0001").count() == 0
    screen.page.fill("#name", "Erin Estimator")
    screen.page.fill("#password", PASSWORD)
    screen.page.click("button[type=submit]")
    screen.settle()
    assert screen.page.url == wanted
    assert screen.page.get_by_role("heading", name="Triage").is_visible()


def test_nothing_was_asked_of_another_host_and_nothing_broke_our_own_rules(
    screen: Screen,
) -> None:
    """The last: by now every page was shown. A broken content rule shows as a complaint."""
    assert screen.asked_elsewhere == []
    assert screen.complaints == []
