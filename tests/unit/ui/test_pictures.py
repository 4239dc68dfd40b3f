"""Pictures of a case: only for who is signed in, only of that case, only in few sizes."""

import io

import pytest
from PIL import Image

from tests.unit.ui.browser import Browser
from tests.unit.ui.conftest import a_case_with_photo
from triage_app.domain.case import Case, Photo
from triage_app.services import Services
from triage_app.ui.picture_links import SIDES_PX, picture_link


def test_a_stranger_gets_no_picture(stranger: Browser, case: Case, photo: Photo) -> None:
    answer = stranger.get(picture_link(case.id, photo.id, side_px=640))
    assert answer.status_code == 403
    assert answer.headers["content-type"].startswith("text/plain")


def test_a_stranger_cannot_tell_which_cases_exist(stranger: Browser, case: Case) -> None:
    there = stranger.get(f"/pictures/{case.id}/P0")
    not_there = stranger.get("/pictures/none/P0")
    assert (there.status_code, there.text) == (not_there.status_code, not_there.text)


@pytest.mark.parametrize("side_px", SIDES_PX)
def test_a_picture_comes_as_jpeg_no_larger_than_asked(
    browser: Browser, case: Case, photo: Photo, side_px: int
) -> None:
    answer = browser.get(picture_link(case.id, photo.id, side_px=side_px))
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "image/jpeg"
    assert max(Image.open(io.BytesIO(answer.content)).size) == min(side_px, 900)


def test_the_full_size_is_the_photos_own(browser: Browser, case: Case, photo: Photo) -> None:
    answer = browser.get(picture_link(case.id, photo.id, side_px=None))
    assert Image.open(io.BytesIO(answer.content)).size == (900, 600)


def test_a_browser_asks_again_each_time_and_is_told_that_nothing_changed(
    browser: Browser, case: Case, photo: Photo
) -> None:
    link = picture_link(case.id, photo.id, side_px=640)
    first = browser.get(link)
    assert first.headers["cache-control"] == "private, no-cache"
    again = browser.get(link, headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    other_size = browser.get(
        picture_link(case.id, photo.id, side_px=2048),
        headers={"If-None-Match": first.headers["etag"]},
    )
    assert other_size.status_code == 200


def test_a_stranger_is_not_even_told_that_nothing_changed(
    browser: Browser, stranger: Browser, case: Case, photo: Photo
) -> None:
    link = picture_link(case.id, photo.id, side_px=640)
    tag = browser.get(link).headers["etag"]
    assert stranger.get(link, headers={"If-None-Match": tag}).status_code == 403


@pytest.mark.parametrize("side", ["0", "-1", "641", "99999999", "x", "640.0", "٦٤٠"])
def test_other_sizes_are_refused(browser: Browser, case: Case, photo: Photo, side: str) -> None:
    answer = browser.get(f"/pictures/{case.id}/{photo.id}", params={"side": side})
    assert answer.status_code == 400
    assert "side=640" in answer.text


def test_a_photo_of_another_case_is_not_found(browser: Browser, shop: Services, case: Case) -> None:
    other = a_case_with_photo(shop, "R-2", seed=5)
    answer = browser.get(picture_link(case.id, other.photos[0].id, side_px=640))
    assert answer.status_code == 404


@pytest.mark.parametrize("path", ["/pictures/none/P0", "/pictures/none/P0?side=640"])
def test_an_unknown_case_is_not_found(browser: Browser, path: str) -> None:
    assert browser.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/pictures/a%00b/P0", "/pictures/%2e%2e/P0", "/pictures/ä/P0"])
def test_an_address_that_cannot_be_one_is_refused(browser: Browser, path: str) -> None:
    assert browser.get(path).status_code in (400, 404)


def test_a_lost_original_is_answered_with_a_sentence(
    browser: Browser, shop: Services, case: Case, photo: Photo
) -> None:
    shop.blobs.delete(photo.sha256)
    answer = browser.get(picture_link(case.id, photo.id, side_px=640))
    assert answer.status_code in (404, 503)
    assert answer.text.endswith(".")
