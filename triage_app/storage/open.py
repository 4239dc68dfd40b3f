"""Two URLs -> stores, or one plain sentence that says why not."""

import os
import re
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import fsspec  # type: ignore[import-untyped]  # it ships no types
from sqlalchemy import Engine

from triage_app.domain.errors import StorageError
from triage_app.services.ports import (
    AccountStore,
    BlobStore,
    CaseStore,
    SessionStore,
    ShopStore,
    Summarise,
)
from triage_app.storage import summaries
from triage_app.storage.blobs import Blobs
from triage_app.storage.durable_folder import DurableFolder
from triage_app.storage.engine import open_engine
from triage_app.storage.memory import MemoryCases, MemoryShop
from triage_app.storage.memory_people import MemoryAccounts, MemorySessions
from triage_app.storage.migrate import bring_up_to_date
from triage_app.storage.sql_accounts import SqlAccounts
from triage_app.storage.sql_cases import SqlCases
from triage_app.storage.sql_sessions import SqlSessions
from triage_app.storage.sql_shop import SqlShop

MEMORY = "memory://"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stores:
    """Everything that keeps something. ``close`` when the program is done with it."""

    cases: CaseStore
    blobs: BlobStore
    accounts: AccountStore
    sessions: SessionStore
    shop: ShopStore
    close: Callable[[], None]


def open_stores(
    cases_url: str, files_url: str, *, summarise: Summarise, rulebook_stamp: str = ""
) -> Stores:
    """Open the stores at these URLs; make them where nothing is yet.

    Where lists were made by another rule book than ``rulebook_stamp`` they are made anew.
    Raises StorageError; then nothing stays open.
    """
    blobs = open_blobs(files_url)
    if cases_url.startswith(MEMORY):
        return Stores(
            cases=MemoryCases(summarise),
            blobs=blobs,
            accounts=MemoryAccounts(),
            sessions=MemorySessions(),
            shop=MemoryShop(),
            close=_nothing,
        )
    engine = open_database(cases_url)
    if rulebook_stamp:
        summaries.renew(engine, summarise, rulebook_stamp)
    return Stores(
        cases=SqlCases(engine, summarise),
        blobs=blobs,
        accounts=SqlAccounts(engine),
        sessions=SqlSessions(engine),
        shop=SqlShop(engine),
        close=engine.dispose,
    )


def open_database(cases_url: str) -> Engine:
    """Return the database at a URL with its tables brought up to date; raises StorageError."""
    engine = open_engine(cases_url)
    try:
        bring_up_to_date(engine)
    except BaseException:
        engine.dispose()
        raise
    return engine


def open_blobs(files_url: str) -> BlobStore:
    """Return the store of files at a URL; raises StorageError."""
    scheme, separator, place = files_url.partition("://")
    if not separator:
        raise StorageError(
            f"'{files_url}' is not the address of a folder. Write it as in file://data/files."
        )
    files = _file_system(scheme)
    if scheme == "file":
        folder = _local_folder(place)
        return Blobs(files, folder.as_posix(), DurableFolder(folder).write)
    if scheme == "memory":
        place = f"/{uuid.uuid4().hex}"  # fsspec keeps one memory for the whole program
    return Blobs(files, place, files.pipe_file)


def _local_folder(place: str) -> Path:
    if not place:
        raise StorageError("Name a folder, as in file://data/files.")
    return Path(local_place(place, on_windows=os.name == "nt")).absolute()


def local_place(place: str, *, on_windows: bool) -> str:
    """Return the path that a ``file://`` address names; on Windows /C:/data names C:/data."""
    return place[1:] if on_windows and re.match(r"/[A-Za-z]:", place) else place


def _file_system(scheme: str) -> Any:  # fsspec ships no types
    try:
        return fsspec.filesystem(scheme)
    except ValueError as error:
        raise StorageError(
            f"Files cannot be kept at '{scheme}:'. Use file://, s3:// or memory://."
        ) from error
    except ImportError as error:
        raise StorageError(
            f"Files at '{scheme}:' need a Python package that is not installed: {error}."
        ) from error


def _nothing() -> None:
    """Have nothing to close."""
