"""Signing in and out over HTTP: the form, the cookie, and who is offered on a tablet."""

import re
from datetime import timedelta

import pytest

from tests.builders import ESTIMATOR
from tests.people import ADMINISTRATOR, PASSWORD, a_person
from tests.unit.services.shop import TestClock, a_shop
from tests.unit.ui.browser import ORIGIN, Browser
from tests.unit.ui.conftest import NewBrowser, sign_in
from triage_app.domain.permissions import Role
from triage_app.services import Services
from triage_app.services.sign_in import WRONG
from triage_app.ui.routes.forms import FORM_FIELD, MAX_FORM_BYTES, local_path
from triage_app.ui.wiring import FORM_COOKIE, PEOPLE_COOKIE, SESSION_COOKIE


def who(browser: Browser, shop: Services) -> str | None:
    operator = shop.sign_in.who(browser.cookies.get(SESSION_COOKIE))
    return operator.name if operator else None


def test_the_right_password_signs_a_person_in(stranger: Browser, shop: Services) -> None:
    answer = sign_in(stranger)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    assert who(stranger, shop) == ESTIMATOR.name


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(stranger: Browser) -> None:
    cookies = sign_in(stranger).headers.get_list("set-cookie")
    assert {cookie.split("=")[0] for cookie in cookies} == {SESSION_COOKIE, PEOPLE_COOKIE}
    for cookie in map(str.lower, cookies):
        assert "httponly" in cookie
        assert "samesite=lax" in cookie
        assert "path=/" in cookie
        assert "secure" not in cookie
        assert "domain" not in cookie


def test_the_session_cookie_goes_when_the_browser_closes(stranger: Browser) -> None:
    [cookie] = [
        cookie
        for cookie in sign_in(stranger).headers.get_list("set-cookie")
        if cookie.startswith(SESSION_COOKIE)
    ]
    assert "max-age" not in cookie.lower()
    assert "expires" not in cookie.lower()


@pytest.mark.parametrize("told", ["by the setting", "by the proxy"])
def test_behind_tls_no_cookie_of_ours_travels_in_clear(new_browser: NewBrowser, told: str) -> None:
    browser = new_browser(secure_cookie=told == "by the setting")
    over = {} if told == "by the setting" else {"X-Forwarded-Proto": "https"}
    page = browser.get("/sign-in", headers=over)
    token = page.headers["set-cookie"].split("=", 1)[1].split(";", 1)[0]
    answer = browser.post(
        "/sign-in",
        {FORM_FIELD: token, "name": "Erin Estimator", "password": PASSWORD},
        headers={"Origin": ORIGIN, "Cookie": f"{FORM_COOKIE}={token}", **over},
    )
    assert answer.status_code == 303
    for cookie in (*page.headers.get_list("set-cookie"), *answer.headers.get_list("set-cookie")):
        assert "secure" in cookie.lower()


def test_a_token_that_somebody_else_set_beforehand_is_never_taken_over(
    stranger: Browser, shop: Services
) -> None:
    """Session fixation: the token changes at sign-in, and the one before is worth nothing."""
    stranger.cookies.set(SESSION_COOKIE, "set-by-somebody-else", domain="testserver.local")
    sign_in(stranger)
    first = stranger.cookies[SESSION_COOKIE]
    assert first != "set-by-somebody-else"
    assert shop.sign_in.who("set-by-somebody-else") is None
    sign_in(stranger)
    second = stranger.cookies[SESSION_COOKIE]
    assert second != first
    assert shop.sign_in.who(first) is None
    assert shop.sign_in.who(second) is not None


@pytest.mark.parametrize("name", ["Erin Estimator", "Nobody <b>Known</b>"])
def test_a_wrong_password_and_a_wrong_name_get_one_and_the_same_sentence(
    stranger: Browser, name: str
) -> None:
    answer = sign_in(stranger, {"password": "wrong words here", "name": name})
    assert answer.status_code == 403
    assert WRONG in answer.text
    assert "<b>Known" not in answer.text
    assert SESSION_COOKIE not in stranger.cookies
    assert "wrong words here" not in answer.text


def test_after_many_wrong_passwords_even_the_right_one_waits(stranger: Browser) -> None:
    for _ in range(5):
        sign_in(stranger, {"password": "wrong"})
    answer = sign_in(stranger)
    assert answer.status_code == 403
    assert "Too many wrong tries. Wait 2 s" in answer.text


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
    answer = stranger.post("/sign-in", {FORM_FIELD: "", "name": "Erin", "password": "x"})
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
    assert 'name="password"' not in page


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
    assert who(browser, shop) == ESTIMATOR.name


def test_the_sign_in_page_is_not_kept_by_browsers_and_its_cookie_is_strict(
    stranger: Browser,
) -> None:
    page = stranger.get("/sign-in")
    assert page.headers["cache-control"] == "no-store"
    cookie = page.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_a_shop_with_nothing_but_the_demo_case_opens_on_it(
    stranger: Browser, shop: Services
) -> None:
    demo = shop.intake.open_case(by=ESTIMATOR, reference="DEMO-0001")
    assert sign_in(stranger).headers["location"] == f"/triage?case={demo.id}"


def test_a_shop_with_cases_of_its_own_opens_on_the_list(stranger: Browser, shop: Services) -> None:
    shop.intake.open_case(by=ESTIMATOR, reference="DEMO-0001")
    shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    assert sign_in(stranger).headers["location"] == "/"


# One tablet, several people -----------------------------------------------------------------------


def faces(page: str) -> list[str]:
    return re.findall(r'class="person"[^>]*data-name="([^"]*)"', page)


def test_a_stranger_is_offered_nobody(stranger: Browser) -> None:
    assert faces(stranger.get("/sign-in").text) == []


def test_a_tablet_offers_those_who_signed_in_on_it_the_last_one_first(
    stranger: Browser, shop: Services
) -> None:
    a_person(shop, "Sam Senior")
    sign_in(stranger)
    sign_in(stranger, {"name": "Sam Senior"})
    page = stranger.get("/sign-in?switch=1&next=/mark").text
    assert faces(page) == ["sam", "erin"]
    assert 'name="next" value="/mark"' in page
    chosen = stranger.get("/sign-in?switch=1&who=erin").text
    assert 'name="name" value="erin"' in chosen


def test_only_a_person_of_this_tablet_is_filled_in_from_an_address(
    browser: Browser, shop: Services
) -> None:
    a_person(shop, "Sam Senior")
    assert 'name="name" value=""' in browser.get("/sign-in?switch=1&who=sam").text


def test_switching_ends_the_session_of_the_person_before(stranger: Browser, shop: Services) -> None:
    a_person(shop, "Sam Senior")
    sign_in(stranger)
    before = stranger.cookies[SESSION_COOKIE]
    sign_in(stranger, {"name": "sam"})
    assert who(stranger, shop) == "Sam Senior"
    assert shop.sign_in.who(before) is None


@pytest.mark.parametrize("kept", ["x" * 5000, "....", "demo-estimator", "<script>", "a/b.c"])
def test_a_made_up_list_of_people_offers_nobody(stranger: Browser, kept: str) -> None:
    stranger.cookies.set(PEOPLE_COOKIE, kept)
    page = stranger.get("/sign-in")
    assert page.status_code == 200
    assert faces(page.text) == []


# First passwords over HTTP ------------------------------------------------------------------------


def test_a_first_password_leads_to_the_choice_of_an_own_one(
    stranger: Browser, shop: Services
) -> None:
    given = shop.people.add("Sam Senior", [Role.SENIOR_TECHNICIAN], by=ADMINISTRATOR)
    first = {"name": "sam", "password": given.password}
    page = sign_in(stranger, first)
    assert 'name="own"' in page.text
    assert SESSION_COOKIE not in stranger.cookies
    weak = sign_in(stranger, first | {"own": "short"})
    assert "at least 15 characters" in weak.text
    assert 'name="own"' in weak.text
    assert sign_in(stranger, first | {"own": PASSWORD}).status_code == 303
    assert who(stranger, shop) == "Sam Senior"


# The first start over HTTP ------------------------------------------------------------------------


def test_a_shop_with_people_has_no_set_up_page(stranger: Browser) -> None:
    assert stranger.get("/set-up").headers["location"] == "/sign-in"


def test_an_idle_session_gets_the_sign_in_page_with_its_own_name_on_it(
    new_browser: NewBrowser,
) -> None:
    clock = TestClock()
    shop = a_shop(clock)
    a_person(shop, ESTIMATOR.name)
    browser = new_browser(services=shop)
    sign_in(browser)
    clock.forward(timedelta(minutes=11))
    answer = browser.get("/mark?case=x", headers={"Accept": "text/html"})
    assert answer.headers["location"] == "/sign-in?next=%2Fmark%3Fcase%3Dx"
    page = browser.get(answer.headers["location"]).text
    assert "This screen is locked. Erin Estimator was away" in page
    assert 'name="name" value="erin"' in page
    assert sign_in(browser, {"next": "/mark?case=x"}).headers["location"] == "/mark?case=x"
