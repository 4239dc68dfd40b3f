"""Signing in by an identity provider, the whole way: our server, Streamlit's login, a provider."""

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.people import ADMINISTRATOR
from tests.ui.oidc_provider import CLIENT_ID, CLIENT_SECRET, Provider, running_provider
from tests.ui.running import PATIENCE_S, Running, settings_of, started
from triage_app.bootstrap import open_services
from triage_app.domain.permissions import Role
from triage_app.ui.wiring import SESSION_COOKIE

SAM = {"sub": "u-1", "email": "sam@shop.example", "email_verified": True, "name": "Sam Senior"}


@pytest.fixture(scope="module")
def provider() -> Iterator[Provider]:
    with running_provider() as running:
        yield running


@pytest.fixture(scope="module")
def server(provider: Provider, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("outside")
    secrets_file = folder / ".streamlit" / "secrets.toml"
    secrets_file.parent.mkdir()
    secrets_file.write_text(
        f"""[auth]
redirect_uri = "http://127.0.0.1:{{port}}/oauth2callback"
cookie_secret = "a long secret of this test, made up"
client_id = "{CLIENT_ID}"
client_secret = "{CLIENT_SECRET}"
server_metadata_url = "{provider.address}/.well-known/openid-configuration"
""",
        encoding="utf-8",
    )
    add_sam(folder)
    process = started(
        folder,
        UNDERBODY_OIDC="1",
        AUTHLIB_INSECURE_TRANSPORT="1",  # loopback without TLS
        NO_PROXY="127.0.0.1",
    )
    try:
        yield Running(process, folder / "log.txt")
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


def add_sam(folder: Path) -> None:
    services = open_services(settings_of(folder))
    services.people.add(
        "Sam Senior",
        [Role.SENIOR_TECHNICIAN],
        outside_id="Sam@shop.example",
        by=ADMINISTRATOR,
    )
    services.close()


@pytest.fixture
def browser(server: Running) -> Iterator[httpx.Client]:
    with httpx.Client(
        base_url=server.address, trust_env=False, timeout=60, follow_redirects=True
    ) as client:
        client.headers["Accept"] = "text/html"
        yield client


def test_the_sign_in_page_offers_the_provider(browser: httpx.Client) -> None:
    assert 'href="/sign-in/outside?' in browser.get("/sign-in").text


def test_a_known_person_is_signed_in_and_lands_where_they_wanted_to_be(
    browser: httpx.Client, provider: Provider
) -> None:
    provider.claims = SAM
    answer = browser.get("/sign-in/outside", params={"next": "/account"})
    assert answer.status_code == 200
    assert answer.url.path == "/account"
    assert "Sam Senior" in answer.text
    assert "You sign in by the shop&#x27;s identity provider" in answer.text
    names = {cookie.name for cookie in browser.cookies.jar}
    assert not {name for name in names if name.startswith("_streamlit_user")}, "exchanged once"


@pytest.mark.parametrize(
    "claims",
    [
        SAM | {"email": "eve@elsewhere.example"},
        SAM | {"email_verified": False},
        {"sub": "u-1"},
        SAM | {"iat": 1_000_000_000, "exp": 9_000_000_000},
    ],
    ids=["unknown", "unverified", "no address", "of long ago"],
)
def test_anybody_else_gets_in_nowhere(
    browser: httpx.Client, provider: Provider, claims: dict[str, object]
) -> None:
    provider.claims = claims
    answer = browser.get("/sign-in/outside")
    assert answer.status_code == 403
    assert SESSION_COOKIE not in browser.cookies
    assert browser.get("/account", follow_redirects=False).status_code == 303


def test_a_disabled_person_gets_in_nowhere(
    browser: httpx.Client, provider: Provider, server: Running
) -> None:
    """The last but one: Sam is enabled again at its end."""
    services = open_services(settings_of(server.folder))
    sam = services.people.called("sam", by=ADMINISTRATOR)
    services.people.disable(sam.id, by=ADMINISTRATOR)
    provider.claims = SAM
    assert browser.get("/sign-in/outside").status_code == 403
    services.people.enable(sam.id, by=ADMINISTRATOR)
    assert browser.get("/sign-in/outside").status_code == 200
    services.close()


@pytest.mark.parametrize("cookie", ["made-up", "2|1:0|x", ""])
def test_a_made_up_cookie_of_the_login_opens_nothing(browser: httpx.Client, cookie: str) -> None:
    browser.cookies.set("_streamlit_user", cookie)
    assert browser.get("/sign-in/arrived").status_code == 403
    assert SESSION_COOKIE not in browser.cookies


def test_streamlits_own_sign_out_stays_closed(browser: httpx.Client) -> None:
    assert browser.get("/auth/logout").status_code == 404
