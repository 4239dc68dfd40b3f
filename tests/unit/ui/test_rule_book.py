"""The rule book as a Word file, only for who is signed in."""

from io import BytesIO

from docx import Document

from tests.unit.ui.browser import Browser
from triage_app.ui.picture_links import RULE_BOOK_LINK
from triage_app.ui.routes.reports import WORD_TYPE


def test_a_stranger_gets_no_rule_book(stranger: Browser) -> None:
    assert stranger.get(RULE_BOOK_LINK).status_code == 403


def test_a_signed_in_person_gets_it_as_a_word_file(browser: Browser) -> None:
    answer = browser.get(RULE_BOOK_LINK)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == WORD_TYPE
    assert 'filename="rule-book-r' in answer.headers["content-disposition"]
    assert Document(BytesIO(answer.content)).tables
