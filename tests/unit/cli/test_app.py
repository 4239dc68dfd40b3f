"""demo and serve: the demo case in a folder of its own, the app as a process of its own."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.builders import a_case
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


@pytest.mark.parametrize("name", ["what?", "50%20off", "sp ace#ü"])
def test_a_demo_folder_may_have_an_odd_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(app, "load_demo", lambda *_, **__: a_case())
    assert app_main("demo", "--data", str(tmp_path / name), "--load-only") == 0
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name / "cases.db").is_file()


class InterruptedProcess:
    """Stands in for an app that is told to stop; ``stubborn`` ones do not listen."""

    did: list[str]
    stubborn = False

    def __init__(self, *_: object, **__: object) -> None:
        """Start nothing."""

    def wait(self, timeout: float | None = None) -> int:
        if timeout is None and not self.did:
            self.did.append("interrupted")
            raise KeyboardInterrupt
        if timeout is not None and self.stubborn:
            raise subprocess.TimeoutExpired("app", timeout)
        self.did.append("ended")
        return 0

    def kill(self) -> None:
        self.did.append("killed")


@pytest.mark.parametrize(
    ("stubborn", "did"),
    [
        (False, ["interrupted", "ended"]),
        (True, ["interrupted", "killed", "ended"]),
    ],
)
def test_after_an_interrupt_the_app_gets_time_to_stop_and_never_stays_behind(
    shell: Shell,
    monkeypatch: pytest.MonkeyPatch,
    *,
    stubborn: bool,
    did: list[str],
) -> None:
    monkeypatch.setattr(InterruptedProcess, "did", [], raising=False)
    monkeypatch.setattr(InterruptedProcess, "stubborn", stubborn)
    monkeypatch.setattr(subprocess, "Popen", InterruptedProcess)
    assert shell.run("serve").status == 0
    assert InterruptedProcess.did == did


class TerminatedProcess:
    """Stands in for an app whose parent is told to end."""

    told = False

    def __init__(self, *_: object, **__: object) -> None:
        """Start nothing."""

    def wait(self, timeout: float | None = None) -> int:
        del timeout
        signal.raise_signal(signal.SIGTERM)
        return 0

    def terminate(self) -> None:
        type(self).told = True


def test_a_stop_of_the_command_is_passed_on_to_the_app(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(subprocess, "Popen", TerminatedProcess)
    before = signal.getsignal(signal.SIGTERM)
    assert shell.run("serve").status == 0
    assert TerminatedProcess.told
    assert signal.getsignal(signal.SIGTERM) == before


def app_main(*argv: str) -> int:
    return main(list(argv))
