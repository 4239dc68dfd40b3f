"""Every kind of store that the suites run over.

PostgreSQL joins when UNDERBODY_TEST_POSTGRES names a server with a database to spare: its tables
are dropped before each test.
"""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from tests.contract.stand_ins import plain_summary
from triage_app.storage.open import Stores, open_stores

POSTGRES = os.environ.get("UNDERBODY_TEST_POSTGRES", "")
CASE_STORES = ["memory", "sqlite", *(["postgresql"] if POSTGRES else [])]
SHARED_CASE_STORES = [kind for kind in CASE_STORES if kind != "memory"]


def _cases_url(kind: str, folder: Path) -> str:
    if kind == "memory":
        return "memory://"
    if kind == "sqlite":
        return f"sqlite:///{(folder / 'cases.db').as_posix()}"
    engine = create_engine(POSTGRES)
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return POSTGRES


@pytest.fixture(params=SHARED_CASE_STORES)
def shared_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the URL of a database that several processes can open."""
    return _cases_url(request.param, tmp_path)


@pytest.fixture(params=CASE_STORES)
def stores(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Stores]:
    """Open stores of each kind in turn; files in memory."""
    url = _cases_url(request.param, tmp_path)
    opened = open_stores(url, "memory://", summarise=plain_summary)
    yield opened
    opened.close()


@pytest.fixture(params=["memory", "file"])
def files_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return a place for files of each kind in turn."""
    return "memory://" if request.param == "memory" else f"file://{(tmp_path / 'f').as_posix()}"
