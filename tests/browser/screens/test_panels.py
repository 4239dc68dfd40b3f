"""The panels of the triage page in a browser: what if, a record, and its acceptance by another."""

import pytest
from playwright.sync_api import expect

from tests.browser.screens.conftest import Screen
from tests.browser.screens.test_screens import MEASURE, SIZES
from triage_app.ui import evidence_text, mark_text, review_text, what_if_text

pytestmark = pytest.mark.browser
SHORTFALLS = ("cutOff", "smallTargets", "smallType")


def nothing_falls_short(screen: Screen) -> None:
    for width, height in SIZES.values():
        screen.page.set_viewport_size({"width": width, "height": height})
        screen.settle()
        for shortfall in SHORTFALLS:
            assert screen.page.evaluate(MEASURE, shortfall) == []
    screen.page.set_viewport_size({"width": 1280, "height": 800})
    screen.settle()


def test_what_if_record_and_acceptance_by_a_second_person(screen: Screen) -> None:
    page = screen.page
    screen.go("Triage")
    page.locator(".ub-why > summary").first.click()
    expect(page.locator(".ub-why").first.get_by_text("How likely that is")).to_be_visible()

    page.get_by_role("button", name="What if …?").first.click()
    screen.settle()
    page.get_by_label("Kind of damage").click()
    page.keyboard.type("scrape")
    page.get_by_role("option", name="Scrape").click()
    screen.settle()
    expect(page.locator(".ub-compare .ub-changed").first).to_be_visible()
    expect(page.get_by_text(what_if_text.MEANS)).to_be_visible()
    nothing_falls_short(screen)

    page.get_by_role("button", name="Tests and records").first.click()
    screen.settle()
    panel = page.locator(".st-key-ub-evidence")
    # The demo's own record of isolation stands there already, so the form is folded away.
    panel.get_by_text(evidence_text.ADD).click()
    panel.get_by_text("The part was replaced").click()
    screen.settle()
    panel.get_by_label(evidence_text.NOTE).fill("New cable fitted.")
    panel.get_by_role("button", name=evidence_text.SAVE).click()
    screen.settle()
    expect(panel.get_by_text(evidence_text.OWN_RECORD)).to_be_visible()
    nothing_falls_short(screen)

    screen.sign_out()
    screen.sign_in("Sam Senior")
    screen.go("Triage")
    page.get_by_role("button", name="Tests and records").first.click()
    screen.settle()
    ours = page.locator("[class*=st-key-ub-record-]").filter(has_text="New cable fitted.")
    ours.get_by_role("button", name=evidence_text.ACCEPT).click()
    screen.settle()
    expect(panel.get_by_text("accepted by Sam Senior")).to_be_visible()
    expect(panel.get_by_text(evidence_text.REMAINS_NO_RELEASE)).to_be_visible()
    assert screen.complaints == []


def test_a_second_person_signs_and_an_edit_takes_the_signature_away_in_plain_view(
    screen: Screen,
) -> None:
    page = screen.page
    screen.sign_out()
    screen.sign_in("Sam Senior")
    screen.go("Review")
    nothing_falls_short(screen)
    page.set_viewport_size({"width": 1024, "height": 768})
    page.get_by_role("button", name=review_text.CONFIRM, exact=True).first.click()
    screen.settle()
    page.get_by_text("1 · HV cable · Severed · high").click()
    expect(page.get_by_text("confirmed by Sam Senior")).to_be_visible()
    nothing_falls_short(screen)

    screen.sign_out()
    screen.sign_in("Erin Estimator")
    screen.go("Mark damage")
    page.get_by_role("button", name="1 · HV cable · Severed").click()
    screen.settle()
    note = page.get_by_label(mark_text.NOTE, exact=True)
    note.fill("Strands on the left.")
    note.blur()
    screen.settle()
    page.get_by_role("button", name=mark_text.SAVE_FINDING).click()
    screen.settle()
    screen.go("Review")
    expect(page.get_by_text(review_text.CHANGED)).to_be_visible()
    expect(page.get_by_text("the note changed from")).to_be_visible()
    assert screen.complaints == []


def test_the_rule_book_leads_from_a_rule_to_its_source_and_comes_as_a_word_file(
    screen: Screen,
) -> None:
    page = screen.page
    screen.go("Rule book")
    page.get_by_text("Unfold every line").click()
    screen.settle()
    page.locator("#rb-CON-010").get_by_role("link", name="fmvss_305").first.click()
    expect(page.locator("#rb-fmvss_305")).to_be_in_viewport()
    with page.expect_download() as download:
        page.get_by_role("link", name="The whole book as a Word document").click()
    assert download.value.suggested_filename.startswith("rule-book-r")
