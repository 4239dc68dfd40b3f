"""The first start over HTTP: a page that needs the start code, once."""

import httpx
import pytest

from tests.people import ADMINISTRATOR, PASSWORD
from tests.unit.services.shop import CODE, a_shop
from tests.unit.ui.browser import ORIGIN, Browser
from tests.unit.ui.conftest import NewBrowser
from triage_app.domain.permissions import Role
from triage_app.services import Services
from triage_app.ui.routes.forms import FORM_FIELD
from triage_app.ui.wiring import FORM_COOKIE, SESSION_COOKIE


@pytest.fixture
def shop() -> Services:
    """Return a shop in which nobody has an account."""
    return a_shop()


@pytest.fixture
def first(new_browser: NewBrowser) -> Browser:
    return new_browser()


def set_up(browser: Browser, **changed: str) -> httpx.Response:
    browser.get("/set-up")
    form = {
        FORM_FIELD: browser.cookies[FORM_COOKIE],
        "code": CODE,
        "name": "Ada Nowak",
        "password": PASSWORD,
        "senior_technician": "1",
    }
    return browser.post("/set-up", form | changed, headers={"Origin": ORIGIN})


def test_everything_leads_to_the_set_up_page(first: Browser) -> None:
    page = first.get("/", headers={"Accept": "text/html"})
    assert page.headers["location"] == "/sign-in"
    assert first.get("/sign-in").headers["location"] == "/set-up"
    assert "Set this shop up" in first.get("/set-up").text


def test_it_makes_the_first_administrator_and_signs_them_in(first: Browser, shop: Services) -> None:
    answer = set_up(first)
    assert (answer.status_code, answer.headers["location"]) == (303, "/people")
    operator = shop.sign_in.who(first.cookies[SESSION_COOKIE])
    assert operator is not None
    assert operator.name == "Ada Nowak"
    assert operator.roles == {Role.ADMINISTRATOR, Role.SENIOR_TECHNICIAN}


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"code": "WRONG"}, "The start code is wrong."),
        ({"name": " "}, "A name has 2 to 80 characters."),
        ({"password": "short"}, "at least 15 characters"),
        ({"password": "aaaaaaaaaaaaaaaaaaaa"}, "easily guessed"),
        ({FORM_FIELD: "guessed"}, "Try once more."),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused_with_a_sentence_and_what_was_typed_stays(
    first: Browser, shop: Services, changed: dict[str, str], sentence: str
) -> None:
    answer = set_up(first, **changed)
    assert answer.status_code == 403
    assert sentence in answer.text
    assert SESSION_COOKIE not in first.cookies
    assert shop.people.all(by=ADMINISTRATOR) == []
    assert PASSWORD not in answer.text


def test_afterwards_the_start_code_opens_nothing(
    first: Browser, new_browser: NewBrowser, shop: Services
) -> None:
    set_up(first)
    second = new_browser()
    second.get("/sign-in")
    form = {FORM_FIELD: second.cookies[FORM_COOKIE], "code": CODE, "name": "Eve Other"}
    second.post("/set-up", form | {"password": PASSWORD}, headers={"Origin": ORIGIN})
    assert SESSION_COOKIE not in second.cookies
    assert [each.name for each in shop.people.all(by=ADMINISTRATOR)] == ["Ada Nowak"]


def test_guessing_the_start_code_is_slowed_down(first: Browser, shop: Services) -> None:
    for _ in range(5):
        set_up(first, code="WRONG")
    assert "Too many wrong tries" in set_up(first).text
    assert shop.sign_in.needs_set_up()
