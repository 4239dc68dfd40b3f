"""The top level stays as the layout says, and nothing of a machine or a brand gets in."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "Makefile",
    "README.md",
    "constraints.txt",
    "demo_photos",
    "docs",
    "pyproject.toml",
    "rules",
    "tests",
    "triage_app",
}


def tracked() -> list[str]:
    done = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return [name for name in done.stdout.split("\0") if name and (ROOT / name).is_file()]


def test_the_top_level_holds_exactly_what_the_layout_says() -> None:
    top = {name.split("/", 1)[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


# Spelled in two halves, so that this file does not find itself.
FORBIDDEN = (
    "/wo" + "rk/",
    "py" + "pi.org",
    "python" + "hosted",
    "registry.npm" + "js",
    "deb.deb" + "ian",
)


@pytest.mark.parametrize("text", FORBIDDEN)
def test_no_file_names_a_path_of_a_machine_or_a_registry(text: str) -> None:
    found = [
        name
        for name in tracked()
        if not name.endswith((".jpg", ".heic", ".png", ".docx", ".zip", ".db"))
        and text in (ROOT / name).read_text(encoding="utf-8", errors="replace")
    ]
    assert found == []


def test_constraints_are_names_and_versions_only() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").split()
    assert lines
    assert [
        line for line in lines if not re.fullmatch(r"[A-Za-z0-9_.-]+==[A-Za-z0-9_.]+", line)
    ] == []


def test_every_module_is_small() -> None:
    """A module over 300 lines asks a question; none of ours should need to."""
    large = {
        name: count
        for name in tracked()
        if name.endswith(".py") and not name.startswith("tests/")
        if (count := len((ROOT / name).read_text(encoding="utf-8").splitlines())) > 350
    }
    assert large == {}
