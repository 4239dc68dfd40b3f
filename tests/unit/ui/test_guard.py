"""What a stranger may have: the way in, and nothing else."""

import re

import pytest

from tests.unit.ui.browser import Browser
from triage_app.services import Services
from triage_app.settings import Settings
from triage_app.ui.routes.guard import SECURITY_HEADERS, content_security_policy
from triage_app.ui.server import our_routes


@pytest.mark.parametrize("path", ["/", "/mark", "/triage?case=x", "/anything"])
def test_a_strangers_page_request_leads_to_the_sign_in_page(stranger: Browser, path: str) -> None:
    answer = stranger.get(path, headers={"Accept": "text/html,*/*"})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("PUT", "/_stcore/upload_file/session/file"),
        ("DELETE", "/_stcore/upload_file/session/file"),
        ("GET", "/media/0123.jpg"),
        ("GET", "/_stcore/bidi-components/x/y.js"),
        ("GET", "/component/x/y.js"),
        ("POST", "/"),
        ("GET", "/"),
    ],
)
def test_a_stranger_is_refused_everything_else(stranger: Browser, method: str, path: str) -> None:
    answer = stranger.request(method, path, headers={"Accept": "*/*"})
    assert answer.status_code == 403
    assert answer.text == "You are not signed in."


def test_a_stranger_gets_not_a_byte_by_any_way_of_ours(stranger: Browser, shop: Services) -> None:
    open_to_all = {"/sign-in", "/sign-out", "/set-up", "/favicon.png"}
    tried = 0
    for route in our_routes(shop, Settings()):
        if route.path in open_to_all or route.path.startswith("/session/"):
            continue
        path = re.sub(r"{[^}]+}", "0" * 64, route.path)
        for method in route.methods or ():
            answer = stranger.request(method, path, headers={"Accept": "*/*"})
            said = "" if method == "HEAD" else "You are not signed in."
            assert (answer.status_code, answer.text) == (403, said), path
            tried += 1
    assert tried > 10


@pytest.mark.parametrize("path", ["/sign-inside", "/set-up/x", "/sign-in;/lists/x/findings.csv"])
def test_an_address_that_only_begins_like_an_open_one_is_closed(
    stranger: Browser, path: str
) -> None:
    assert stranger.get(path).status_code == 403


@pytest.mark.parametrize(
    "path", ["/_stcore/health", "/_stcore/host-config", "/static/js/index.js", "/favicon.png"]
)
def test_what_the_sign_in_page_and_the_browser_need_is_open(stranger: Browser, path: str) -> None:
    assert stranger.get(path).status_code == 200


@pytest.mark.parametrize("path", ["/_stcore/agent/interact", "/_stcore/metrics"])
def test_addresses_that_no_page_uses_are_closed_to_everybody(browser: Browser, path: str) -> None:
    assert browser.get(path).status_code == 404


def test_who_is_signed_in_reaches_the_pages_and_the_upload_address(browser: Browser) -> None:
    assert browser.get("/", headers={"Accept": "text/html"}).text == "streamlit /"
    assert browser.request("PUT", "/_stcore/upload_file/session/file").status_code == 200


def test_a_made_up_session_is_a_strangers(stranger: Browser) -> None:
    stranger.cookies.set("underbody_session", "made-up")
    assert stranger.get("/media/0123.jpg").status_code == 403


@pytest.mark.parametrize("path", ["/", "/sign-in", "/_stcore/health", "/pictures/x/y"])
def test_every_answer_carries_the_security_headers(stranger: Browser, path: str) -> None:
    headers = stranger.get(path).headers
    for name, value in SECURITY_HEADERS.items():
        assert headers[name] == value
    policy = headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in policy
    assert "default-src 'self'" in policy
    assert "connect-src 'self' blob: ws://testserver wss://testserver" in policy


@pytest.mark.parametrize("host", ["", "a b", "x; script-src *", "evil'", "[::1"])
def test_a_host_that_cannot_be_one_never_gets_into_the_policy(host: str) -> None:
    assert content_security_policy(host).endswith("connect-src 'self' blob:")


@pytest.mark.parametrize("host", ["127.0.0.1:8501", "shop.example", "[::1]:8501"])
def test_the_policy_names_the_pages_own_websocket(host: str) -> None:
    assert f" ws://{host} wss://{host}" in content_security_policy(host)


def test_the_tab_shows_our_own_icon(stranger: Browser) -> None:
    answer = stranger.get("/favicon.png")
    assert answer.headers["content-type"] == "image/svg+xml"
    assert answer.text.startswith("<svg")
