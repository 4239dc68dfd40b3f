"""The real server, as a program of its own: where it says it is, whom it lets in, what it logs."""

import re
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.people import PASSWORD
from tests.ui.running import CODE, PATIENCE_S, Running, started, with_person
from triage_app.ui.routes.forms import FORM_FIELD
from triage_app.ui.wiring import FORM_COOKIE, SESSION_COOKIE


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("server")
    process = started(folder)
    try:
        yield Running(process, folder / "log.txt")
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


@pytest.fixture
def stranger(server: Running) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=server.address, trust_env=False, timeout=60) as client:
        yield client


def sign_in(client: httpx.Client, server: Running) -> None:
    with_person(server.folder, "Erin Estimator")
    client.get("/sign-in")
    form = {FORM_FIELD: client.cookies[FORM_COOKIE], "name": "erin", "password": PASSWORD}
    answer = client.post("/sign-in", data=form, headers={"Origin": server.address})
    assert answer.status_code == 303


def test_it_says_in_one_line_where_it_is_with_the_code_behind_the_number_sign(
    server: Running,
) -> None:
    assert re.search(rf"{server.address}/sign-in#code={CODE.pattern}\s", server.line)


def test_it_is_alive(stranger: httpx.Client) -> None:
    assert stranger.get("/_stcore/health").text == "ok"


def test_a_stranger_is_led_to_the_sign_in_page(stranger: httpx.Client) -> None:
    answer = stranger.get("/triage?case=x", headers={"Accept": "text/html"})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in?next=")


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/pictures/x/y"),
        ("GET", "/reports/x/y"),
        ("GET", "/media/x.jpg"),
        ("PUT", "/_stcore/upload_file/x/y"),
    ],
)
def test_a_stranger_is_refused_at_streamlits_own_addresses_too(
    stranger: httpx.Client, method: str, path: str
) -> None:
    assert stranger.request(method, path).status_code == 403


def test_who_signs_in_gets_the_app_with_our_headers(
    stranger: httpx.Client, server: Running
) -> None:
    sign_in(stranger, server)
    answer = stranger.get("/", headers={"Accept": "text/html"})
    assert answer.status_code == 200
    assert "<title>" in answer.text
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert stranger.get("/pictures/x/y").status_code == 404


def test_neither_the_token_nor_addresses_with_it_are_logged(
    stranger: httpx.Client, server: Running
) -> None:
    sign_in(stranger, server)
    stranger.get("/mark?case=x")
    output = server.output.replace(server.line, "")
    assert stranger.cookies[SESSION_COOKIE] not in output
    assert not CODE.search(output)
    assert "GET /" not in output


def test_a_setting_that_cannot_be_read_is_one_sentence_and_status_one(tmp_path: Path) -> None:
    process = started(tmp_path, UNDERBODY_PORT="many")
    assert process.wait(timeout=PATIENCE_S) == 1
    said = (tmp_path / "log.txt").read_text(encoding="utf-8").strip()
    assert said == "The setting UNDERBODY_PORT cannot be 'many'."


def test_a_shop_with_people_is_told_no_start_code(tmp_path: Path) -> None:
    with_person(tmp_path, "Erin Estimator")
    process = started(tmp_path)
    try:
        running = Running(process, tmp_path / "log.txt")
        assert "/sign-in " in running.line
        assert not CODE.search(running.output)
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


def test_a_code_that_the_shop_has_set_is_not_printed(tmp_path: Path) -> None:
    process = started(tmp_path, UNDERBODY_SIGN_IN_CODE="OUR-OWN-CODE")
    try:
        running = Running(process, tmp_path / "log.txt")
        assert "OUR-OWN-CODE" not in running.output
        assert "/sign-in " in running.line
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)
