"""The program around the commands: help, usage, and the rule book that must be ours."""

import os
import subprocess
import sys
from pathlib import Path
from typing import BinaryIO

import pytest

from tests.unit.cli.shell import Shell
from triage_app.cli import main
from triage_app.cli.commands import COMMANDS

ROOT = Path(__file__).parents[3]


def in_process_of_its_own(
    *argv: str, path_first: Path | None = None
) -> subprocess.CompletedProcess[str]:
    search_path = [str(path_first)] if path_first else []
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "triage_app", *argv],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
        cwd=ROOT,
        env={"PYTHONPATH": ":".join([*search_path, str(ROOT)]), "PYTHONSAFEPATH": "1"},
    )


def test_every_command_has_help(capsys: pytest.CaptureFixture[str]) -> None:
    for command in COMMANDS:
        assert main([command.name, "--help"]) == 0
        assert command.about.split()[0] in capsys.readouterr().out


@pytest.mark.parametrize(
    "argv", [[], ["fly"], ["new", "--colour", "red"], ["list", "--limit", "x"]]
)
def test_wrong_usage_ends_with_status_2(shell: Shell, argv: list[str]) -> None:
    shell.run(*argv).wrong_usage("usage:")


def test_a_setting_that_cannot_be_read_is_named(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERBODY_PORT", "many")
    shell.run("list").refused("UNDERBODY_PORT", "'many'")


def test_a_foreign_package_called_rules_gives_one_clear_sentence(tmp_path: Path) -> None:
    foreign = tmp_path / "rules"
    foreign.mkdir()
    (foreign / "__init__.py").write_text("is_authenticated = True\n", encoding="utf-8")
    ended = in_process_of_its_own("list", path_first=tmp_path)
    assert ended.returncode == 1
    assert ended.stderr.splitlines() == [
        "underbody: Python found another package called 'rules' where the rule book of this "
        "program should be; install Underbody Triage in a virtual environment of its own."
    ]


def test_a_foreign_package_that_cannot_even_be_imported_gives_the_same(tmp_path: Path) -> None:
    foreign = tmp_path / "rules"
    foreign.mkdir()
    (foreign / "__init__.py").write_text("import a_web_framework\n", encoding="utf-8")
    ended = in_process_of_its_own("list", path_first=tmp_path)
    assert (ended.returncode, ended.stdout) == (1, "")
    assert "another package called 'rules'" in ended.stderr
    assert "Traceback" not in ended.stderr


def listed_to(output: BinaryIO) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "triage_app", "check-rules", "--list"],
        stdout=output,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        check=False,
        cwd=ROOT,
    )


def test_an_output_that_nobody_reads_any_more_is_no_fault_of_ours() -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    with os.fdopen(write_end, "wb") as closed:
        ended = listed_to(closed)
    assert (ended.returncode, ended.stderr) == (1, "")


def test_a_full_disk_under_the_output_is_one_sentence() -> None:
    with Path("/dev/full").open("wb") as full:
        ended = listed_to(full)
    assert (ended.returncode, len(ended.stderr.splitlines())) == (1, 1)
    assert "No space left on device" in ended.stderr


def test_the_command_line_imports_no_screen() -> None:
    code = (
        "import sys\n"
        "from triage_app.cli.program import build_parser\n"
        "build_parser()\n"
        "print([n for n in sys.modules if n.startswith(('streamlit', 'triage_app.ui'))])"
    )
    ended = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert ended.stdout.strip() == "[]"
