"""Signing in and out: the code, the form, the cookie."""

from datetime import timedelta

import pytest

from tests.builders import ESTIMATOR
from tests.unit.services.shop import TestClock, a_shop
from tests.unit.ui.browser import ORIGIN, Browser
from tests.unit.ui.conftest import NewBrowser, sign_in
from triage_app.services import Services
from triage_app.ui.routes.forms import FORM_FIELD, MAX_FORM_BYTES, local_path
from triage_app.ui.wiring import FORM_COOKIE, SESSION_COOKIE


def test_the_right_code_signs_a_named_person_in(stranger: Browser, shop: Services) -> None:
    answer = sign_in(stranger)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    assert shop.sign_in.who(stranger.cookies[SESSION_COOKIE]) == ESTIMATOR


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(stranger: Browser) -> None:
    cookie = sign_in(stranger).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert "secure" not in cookie


def test_behind_tls_the_cookie_never_travels_in_clear(new_browser: NewBrowser) -> None:
    browser = new_browser(secure_cookie=True)
    page = browser.get("/sign-in")
    token = page.headers["set-cookie"].split("=", 1)[1].split(";", 1)[0]
    answer = browser.post(
        "/sign-in",
        {FORM_FIELD: token, "name": "Erin Estimator", "code": "TEST-CODE-0001"},
        headers={"Origin": ORIGIN, "Cookie": f"{FORM_COOKIE}={token}"},
    )
    assert answer.status_code == 303
    assert "secure" in answer.headers["set-cookie"].lower()
    assert "secure" in page.headers["set-cookie"].lower()


def test_a_wrong_code_is_refused_with_one_sentence_and_the_name_is_kept(stranger: Browser) -> None:
    answer = sign_in(stranger, {"code": "WRONG", "name": "Erin <b>Estimator</b>"})
    assert answer.status_code == 403
    assert "The sign-in code is wrong." in answer.text
    assert "Erin &lt;b&gt;Estimator&lt;/b&gt;" in answer.text
    assert SESSION_COOKIE not in stranger.cookies


def test_a_name_that_cannot_be_one_is_refused(stranger: Browser) -> None:
    answer = sign_in(stranger, {"name": " "})
    assert answer.status_code == 403
    assert "A name has 2 to 80 characters." in answer.text
    assert SESSION_COOKIE not in stranger.cookies


def test_after_many_wrong_codes_even_the_right_one_waits(stranger: Browser) -> None:
    for _ in range(10):
        sign_in(stranger, {"code": "WRONG"})
    answer = sign_in(stranger)
    assert answer.status_code == 403
    assert "Too many wrong sign-in codes." in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
    ],
    ids=lambda headers: " ".join(f"{name} {value}" for name, value in headers.items()),
)
def test_a_form_from_another_site_does_nothing(stranger: Browser, headers: dict[str, str]) -> None:
    answer = sign_in(stranger, None, **headers)
    assert answer.status_code == 403
    assert "was not sent from our own page" in answer.text
    assert SESSION_COOKIE not in stranger.cookies


@pytest.mark.parametrize("token", ["", "guessed"])
def test_a_form_without_its_own_token_does_nothing(stranger: Browser, token: str) -> None:
    answer = sign_in(stranger, {FORM_FIELD: token})
    assert answer.status_code == 403
    assert SESSION_COOKIE not in stranger.cookies


def test_a_form_without_any_cookie_does_nothing(stranger: Browser) -> None:
    answer = stranger.post("/sign-in", {FORM_FIELD: "", "name": "Erin", "code": "x"})
    assert answer.status_code == 403


def test_a_huge_form_is_refused(stranger: Browser) -> None:
    answer = sign_in(stranger, {"name": "x" * (MAX_FORM_BYTES + 1)})
    assert answer.status_code == 403
    assert "too large" in answer.text


def test_after_signing_in_a_person_lands_where_they_wanted_to_be(stranger: Browser) -> None:
    page = stranger.get("/mark?case=abc", headers={"Accept": "text/html"})
    assert page.headers["location"] == "/sign-in?next=%2Fmark%3Fcase%3Dabc"
    form = stranger.get(page.headers["location"])
    assert 'name="next" value="/mark?case=abc"' in form.text
    assert sign_in(stranger, {"next": "/mark?case=abc"}).headers["location"] == "/mark?case=abc"


@pytest.mark.parametrize(
    "wanted",
    ["//elsewhere.example/", "/\\elsewhere.example", "http://elsewhere.example", "", "/a\r\nb"],
)
def test_signing_in_never_leads_to_another_server(stranger: Browser, wanted: str) -> None:
    assert local_path(wanted) == "/"
    assert sign_in(stranger, {"next": wanted}).headers["location"] == "/"


def test_who_is_signed_in_sees_their_name_and_the_ways_on(browser: Browser) -> None:
    page = browser.get("/sign-in").text
    assert "Signed in as Erin Estimator." in page
    assert 'action="/sign-out"' in page
    assert 'name="code"' not in page


def test_signing_out_ends_the_session_on_the_server_too(
    browser: Browser, new_browser: NewBrowser, shop: Services
) -> None:
    token = browser.cookies[SESSION_COOKIE]
    answer = browser.post(
        "/sign-out",
        {FORM_FIELD: browser.cookies[FORM_COOKIE]},
        headers={"Origin": ORIGIN},
    )
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    assert SESSION_COOKIE not in browser.cookies
    copy = new_browser()
    copy.cookies.set(SESSION_COOKIE, token)
    assert copy.get("/_stcore/stream-like").status_code == 403
    assert shop.sign_in.who(token) is None


def test_nobody_is_signed_out_by_a_link_or_by_another_site(
    browser: Browser, shop: Services
) -> None:
    browser.get("/sign-out")
    browser.post("/sign-out", {FORM_FIELD: "guessed"}, headers={"Origin": ORIGIN})
    browser.post(
        "/sign-out",
        {FORM_FIELD: browser.cookies[FORM_COOKIE]},
        headers={"Origin": "http://elsewhere.example"},
    )
    assert shop.sign_in.who(browser.cookies[SESSION_COOKIE]) == ESTIMATOR


def test_the_sign_in_page_is_not_kept_by_browsers_and_its_cookie_is_strict(
    stranger: Browser,
) -> None:
    page = stranger.get("/sign-in")
    assert page.headers["cache-control"] == "no-store"
    cookie = page.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_a_session_left_alone_for_half_a_day_is_over() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    token = shop.sign_in.sign_in(name="Erin Estimator", code="TEST-CODE-0001")
    clock.forward(timedelta(hours=12, minutes=1))
    assert shop.sign_in.who(token) is None


def test_a_shop_with_nothing_but_the_demo_case_opens_on_it(
    stranger: Browser, shop: Services
) -> None:
    demo = shop.intake.open_case(by=ESTIMATOR, reference="DEMO-0001")
    assert sign_in(stranger).headers["location"] == f"/triage?case={demo.id}"


def test_a_shop_with_cases_of_its_own_opens_on_the_list(stranger: Browser, shop: Services) -> None:
    shop.intake.open_case(by=ESTIMATOR, reference="DEMO-0001")
    shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    assert sign_in(stranger).headers["location"] == "/"
