"""The revision of a case, asked for by a screen: only for who is signed in, and no sign of use."""

from tests.unit.ui.browser import Browser
from triage_app.domain.case import Case, Photo
from triage_app.ui.picture_links import edges_link, revision_link


def test_a_signed_in_screen_is_told_the_newest_revision(browser: Browser, case: Case) -> None:
    answer = browser.get(revision_link(case.id))
    assert answer.json() == {"revision": case.revision}
    assert answer.headers["cache-control"] == "no-store"


def test_a_stranger_is_told_nothing(stranger: Browser, case: Case) -> None:
    assert stranger.get(revision_link(case.id)).status_code == 403
    assert stranger.get("/revisions/none").status_code == 403


def test_a_case_that_is_not_there_is_told_in_a_sentence(browser: Browser) -> None:
    assert browser.get("/revisions/none").status_code == 404


def test_edges_come_as_a_picture_and_not_to_a_stranger(
    browser: Browser, stranger: Browser, case: Case, photo: Photo
) -> None:
    link = edges_link(case.id, photo.id)
    assert stranger.get(link).status_code == 403
    answer = browser.get(link)
    assert answer.headers["content-type"] == "image/png"
    again = browser.get(link, headers={"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
