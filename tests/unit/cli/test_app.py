"""demo and serve: the demo case in a folder of its own, the app as a process of its own."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell
from triage_app.cli import main
from triage_app.cli.commands import app
from triage_app.settings import PageSize, Settings


class FakeProcess:
    """Stands in for the app: remembers how it was started and ends at once."""

    started: list[tuple[list[str], dict[str, str]]]

    def __init__(self, command: list[str], *, env: dict[str, str]) -> None:
        type(self).started.append((command, env))

    def wait(self, timeout: float | None = None) -> int:
        del timeout
        return 0


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[str], dict[str, str]]]:
    """Return the list of what was started instead of the app."""
    FakeProcess.started = []
    monkeypatch.setattr(subprocess, "Popen", FakeProcess)
    return FakeProcess.started


Started = list[tuple[list[str], dict[str, str]]]


def test_serve_starts_the_app_on_the_same_stores(shell: Shell, started: Started) -> None:
    shell.must("serve", "--port", "0", "--address", "127.0.0.9")
    command, environment = started[0]
    assert command == [sys.executable, "-P", "-m", "triage_app.ui.server"]
    assert environment["UNDERBODY_CASES"] == shell.cases_url
    assert environment["UNDERBODY_FILES"] == shell.files_url
    assert (environment["UNDERBODY_ADDRESS"], environment["UNDERBODY_PORT"]) == ("127.0.0.9", "0")


def test_the_app_reads_the_settings_that_it_is_given() -> None:
    settings = Settings(port=9, secure_cookie=True, page_size=PageSize.LETTER, shop_name="Invented")
    assert Settings.from_environment(app.environment_of(settings)) == settings


def test_a_port_that_is_none_is_refused(shell: Shell, started: Started) -> None:
    shell.run("serve", "--port", "70000").refused("65535")
    assert started == []


def test_an_app_that_cannot_be_started_is_one_sentence(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*_: object, **__: object) -> subprocess.Popen[bytes]:
        raise FileNotFoundError(2, "No such file or directory")

    monkeypatch.setattr(subprocess, "Popen", missing)
    shell.run("serve").refused("cannot be started")


def test_demo_loads_the_demo_case_apart_from_the_shops_cases(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    started: Started,
) -> None:
    shop_url = f"sqlite:///{tmp_path.as_posix()}/shop.db"
    monkeypatch.setenv("UNDERBODY_CASES", shop_url)
    assert app_main("demo", "--data", str(tmp_path / "demo")) == 0
    assert "DEMO-0001 is loaded" in capsys.readouterr().out
    assert not (tmp_path / "shop.db").exists()
    demo = Shell(tmp_path / "demo", capsys)
    assert started[0][1]["UNDERBODY_CASES"] == demo.cases_url
    case = demo.case("DEMO-0001")
    assert len(case["findings"]) >= 8
    assert demo.must("assess", "DEMO-0001").json["hv_flag"] == "at_hv"
    assert app_main("demo", "--data", str(tmp_path / "demo"), "--load-only") == 0
    assert demo.case("DEMO-0001") == case


def app_main(*argv: str) -> int:
    return main(list(argv))
