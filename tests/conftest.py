"""Fixtures shared by all tests, and where outside programs are found.

Where Chromium or LibreOffice is missing, its tests are skipped with a word on what to install;
with ``CI=true`` that is a failure instead.
"""

import os
import shutil
from pathlib import Path

import pytest


def _program(names: tuple[str, ...], package: str) -> Path:
    for name in names:
        found = shutil.which(name)
        if found:
            return Path(found)
    message = f"needs {names[0]}: install the Debian package {package}"
    if os.environ.get("CI") == "true":
        pytest.fail(message)
    pytest.skip(message)


@pytest.fixture(scope="session")
def chromium_path() -> Path:
    """Return the path of Debian's Chromium."""
    return _program(("chromium",), "chromium")


@pytest.fixture(scope="session")
def soffice() -> Path:
    """Return the path of LibreOffice."""
    return _program(("soffice",), "libreoffice-writer-nogui")


@pytest.fixture(scope="session")
def pdftoppm() -> Path:
    """Return the path of poppler's page renderer."""
    return _program(("pdftoppm",), "poppler-utils")


@pytest.fixture
def demo_photos() -> Path:
    """Return the folder of the synthetic demo photos."""
    return Path(__file__).parents[1] / "demo_photos"
