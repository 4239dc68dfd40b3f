"""Stores on a real disk, and a disk that does not let us write."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest

from tests.contract.stand_ins import plain_summary
from triage_app.storage.open import Stores, open_stores

NOBODY = 65_534

OpenStores = Callable[[], Stores]


@pytest.fixture
def cases_file(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "cases.db"


@pytest.fixture
def cases_url(cases_file: Path) -> str:
    return f"sqlite:///{cases_file.as_posix()}"


@pytest.fixture
def files_folder(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "files"


@pytest.fixture
def files_url(files_folder: Path) -> str:
    return f"file://{files_folder.as_posix()}"


@pytest.fixture
def open_shop(cases_url: str, files_url: str) -> Iterator[OpenStores]:
    """Open the stores of the test's shop; all are closed at the end."""
    opened: list[Stores] = []

    def open_one() -> Stores:
        opened.append(open_stores(cases_url, files_url, summarise=plain_summary))
        return opened[-1]

    yield open_one
    for stores in opened:
        stores.close()


@pytest.fixture
def read_only() -> Iterator[Callable[[Path], AbstractContextManager[None]]]:
    """Within the block this process may only read the folder, whoever runs the tests.

    The administrator may write anywhere, so that rights are given up for that long.
    """
    places: list[Path] = []

    @contextmanager
    def locked(folder: Path) -> Iterator[None]:
        places.append(folder)
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o555 if path.is_dir() else 0o444)
        is_administrator = os.geteuid() == 0
        if is_administrator:
            os.seteuid(NOBODY)
        try:
            yield
        finally:
            if is_administrator:
                os.seteuid(0)

    yield locked
    for folder in places:
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Return a new folder that other users can reach, as pytest's own cannot."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)
