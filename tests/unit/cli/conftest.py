"""A shell on an empty data folder, and photo files to give it."""

import contextlib
import functools
import io
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from rules import load_rulebook
from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell
from triage_app.cli import main

PhotoFile = Callable[..., Path]


@pytest.fixture(autouse=True)
def _no_settings_from_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("CASES", "FILES", "OPERATOR", "PORT", "ADDRESS", "SIGN_IN_CODE", "ROLES"):
        monkeypatch.delenv(f"UNDERBODY_{name}", raising=False)


_rulebook_read_once = functools.cache(load_rulebook)


@pytest.fixture(autouse=True)
def _one_rulebook_for_all(monkeypatch: pytest.MonkeyPatch) -> None:
    # A process reads the book once; the many commands of these tests share one process.
    monkeypatch.setattr("triage_app.bootstrap.load_rulebook", _rulebook_read_once)


@pytest.fixture
def shell(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """Return a shell whose data folder does not exist yet."""
    return Shell(tmp_path / "data", capsys)


def written(folder: Path, name: str, orientation: int | None = None) -> Path:
    path = folder / name
    path.write_bytes(a_jpeg(seed=sum(name.encode()), orientation=orientation))
    return path


@pytest.fixture
def photo_file(tmp_path: Path) -> PhotoFile:
    """Return a function that writes a photo, different for each name, and returns its path."""

    def write(name: str = "under.jpg", *, orientation: int | None = None) -> Path:
        return written(tmp_path, name, orientation)

    return write


@pytest.fixture(scope="session")
def shop_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the data of case R-1, made once; tests work on copies of it."""
    folder = tmp_path_factory.mktemp("shop")
    data = folder / "data"
    options = ["--cases", f"sqlite:///{data.as_posix()}/cases.db", "--by", "Ada Nowak"]
    options += ["--files", f"file://{data.as_posix()}/files"]
    photos = [str(written(folder, name)) for name in ("under.jpg", "side.jpg")]
    with contextlib.redirect_stdout(io.StringIO()):
        assert main([*options, "new", "--ref", "R-1", "--vehicle", "Invented hatchback"]) == 0
        assert main([*options, "add-photo", "R-1", *photos]) == 0
    return folder


@pytest.fixture
def shop(shell: Shell, shop_folder: Path, tmp_path: Path) -> Shell:
    """Return a shell with case R-1, which holds the photos under.jpg and side.jpg."""
    shutil.copytree(shop_folder, tmp_path, dirs_exist_ok=True)
    return shell
