"""A data folder that cannot be used: one sentence, and what was there stays."""

import errno
import sqlite3
from pathlib import Path

import pytest

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell
from triage_app.storage import engine


def test_a_file_in_the_place_of_the_data_folder_is_refused(shell: Shell) -> None:
    shell.folder.write_text("I am a file.", encoding="utf-8")
    shell.run("new").refused("data")
    assert shell.folder.read_text(encoding="utf-8") == "I am a file."


def test_a_read_only_store_refuses_a_photo_and_the_case_stays(
    shop: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = shop.case()
    photo = tmp_path / "late.jpg"
    photo.write_bytes(a_jpeg(seed=77))

    def read_only(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    with monkeypatch.context() as patched:
        patched.setattr("triage_app.storage.durable_folder.os.fsync", read_only)
        shop.run("add-photo", "R-1", photo).refused("cannot be written", "nothing was stored")
    assert shop.case() == before


def test_a_full_disk_refuses_a_photo_and_the_next_try_stores_it(
    shop: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = tmp_path / "late.jpg"
    photo.write_bytes(a_jpeg(seed=77))

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("triage_app.storage.durable_folder.os.fsync", full)
        shop.run("add-photo", "R-1", photo).refused("disk is full", "nothing was stored")
    shop.must("add-photo", "R-1", photo)
    assert len(shop.case()["photos"]) == 3


def test_a_full_disk_refuses_a_mark_and_the_journal_stays_whole(
    shop: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite itself answers as on a full disk when a database may not grow."""
    database = sqlite3.connect(shop.folder / "cases.db")
    pages = database.execute("PRAGMA page_count").fetchone()[0]
    database.close()
    prepare = engine._prepare_sqlite

    def limited(connection: sqlite3.Connection, record: object) -> None:
        prepare(connection, record)
        connection.execute(f"PRAGMA max_page_count = {pages}")

    with monkeypatch.context() as patched:
        patched.setattr(engine, "_prepare_sqlite", limited)
        said = shop.run("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4", "--note", "n" * 3_900)
    said.refused("disk is full", "nothing was stored")
    assert shop.case()["findings"] == []
    shop.must("journal", "R-1", "--verify")


def test_a_database_of_a_newer_version_is_refused_and_left_as_it_is(shop: Shell) -> None:
    connection = sqlite3.connect(shop.folder / "cases.db")
    with connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    shop.run("list").refused("newer version", "9999")


def test_a_file_that_is_no_database_is_refused(shell: Shell) -> None:
    shell.folder.mkdir()
    (shell.folder / "cases.db").write_bytes(b"This is a letter. " * 100)
    shell.run("list").refused("not a database")


@pytest.mark.parametrize("url", ["nonsense", "oracle://shop", "sqlite://", "ftp://x"])
def test_an_address_that_is_none_is_refused(shell: Shell, url: str) -> None:
    shell.run("list", "--cases", url).refused()


def test_a_files_address_that_is_none_is_refused(shell: Shell) -> None:
    shell.run("list", "--files", "nowhere").refused("'nowhere'")
