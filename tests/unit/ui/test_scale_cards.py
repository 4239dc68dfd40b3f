"""The printable sheets of scale cards, only for who is signed in."""

import pytest

from tests.unit.ui.browser import Browser
from triage_app.imaging.card_sheet import PAPER_MM
from triage_app.ui.picture_links import card_link


@pytest.mark.parametrize("paper", PAPER_MM)
def test_a_stranger_gets_no_sheet(stranger: Browser, paper: str) -> None:
    assert stranger.get(card_link(paper)).status_code == 403


@pytest.mark.parametrize("paper", PAPER_MM)
def test_a_signed_in_person_gets_the_sheet_for_each_paper(browser: Browser, paper: str) -> None:
    answer = browser.get(card_link(paper))
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert f'filename="scale-cards-{paper}.pdf"' in answer.headers["content-disposition"]
    assert answer.content.startswith(b"%PDF")
