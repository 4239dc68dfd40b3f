"""A shop in memory behind our routes and guard, with a stand-in for Streamlit's own pages."""

from collections.abc import Callable, Mapping

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from tests.builders import ESTIMATOR, a_jpeg
from tests.people import PASSWORD, a_person
from tests.unit.services.shop import a_shop
from tests.unit.ui.browser import ORIGIN, Browser
from triage_app.domain.case import Case, Photo
from triage_app.services import Services
from triage_app.settings import Settings
from triage_app.ui.routes.forms import FORM_FIELD
from triage_app.ui.server import our_middleware, our_routes
from triage_app.ui.wiring import FORM_COOKIE

NewBrowser = Callable[..., Browser]


def _streamlit_itself(request: Request) -> Response:
    return PlainTextResponse(f"streamlit {request.url.path}")


@pytest.fixture
def shop() -> Services:
    """Return a shop in which one person, who has every role, has an account."""
    shop = a_shop()
    a_person(shop, ESTIMATOR.name)
    return shop


@pytest.fixture
def new_browser(shop: Services) -> NewBrowser:
    """Return a way to open browsers on one shop; each has its own cookies."""

    def open_one(*, secure_cookie: bool = False, services: Services | None = None) -> Browser:
        served = services or shop
        settings = Settings(secure_cookie=secure_cookie)
        rest = Route("/{path:path}", _streamlit_itself, methods=["GET", "PUT", "POST", "DELETE"])
        return Browser(
            Starlette(
                routes=[*our_routes(served, settings), rest], middleware=our_middleware(served)
            )
        )

    return open_one


@pytest.fixture
def stranger(new_browser: NewBrowser) -> Browser:
    return new_browser()


@pytest.fixture
def browser(new_browser: NewBrowser) -> Browser:
    """Return a browser in which somebody is signed in."""
    signed_in = new_browser()
    assert sign_in(signed_in).status_code == 303
    return signed_in


def sign_in(
    browser: Browser, fields: Mapping[str, str] | None = None, **headers: str
) -> httpx.Response:
    """Open the sign-in page and post its form as a browser does; both can be tampered with."""
    browser.get("/sign-in")
    form = {
        FORM_FIELD: browser.cookies[FORM_COOKIE],
        "name": ESTIMATOR.name,
        "password": PASSWORD,
        "next": "/",
    }
    sent = {"Origin": ORIGIN} | {name.replace("_", "-"): said for name, said in headers.items()}
    return browser.post("/sign-in", form | dict(fields or {}), headers=sent)


@pytest.fixture
def case(shop: Services) -> Case:
    """Return a case with one photo."""
    return a_case_with_photo(shop, "R-1")


def a_case_with_photo(shop: Services, reference: str, *, seed: int = 0) -> Case:
    case = shop.intake.open_case(by=ESTIMATOR, reference=reference)
    shop.intake.add_photo(
        case.id, a_jpeg(900, 600, seed=seed), file_name="underside.jpg", by=ESTIMATOR
    )
    return shop.cases.get(case.id)


@pytest.fixture
def photo(case: Case) -> Photo:
    return case.photos[0]
