"""A full disk, a damaged database, a damaged file: one sentence each, and the rest goes on."""

import errno
import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import event

from tests.builders import SIGNED, a_case
from tests.unit.storage.conftest import OpenStores
from triage_app.domain.case import Case
from triage_app.domain.commands import DescribeIncident
from triage_app.domain.errors import StorageError
from triage_app.domain.vehicle import Incident
from triage_app.storage import retry
from triage_app.storage.blobs import Blobs
from triage_app.storage.open import Stores

FULL = "The disk is full; nothing was stored. Make room and try again."


def long_story(number: int) -> DescribeIncident:
    return DescribeIncident(incident=Incident(what_happened=f"{number} " + "It hit a kerb. " * 250))


def refuse_growth(stores: Stores) -> None:
    """Let SQLite believe that the disk is full."""
    engine = stores.cases._engine  # type: ignore[attr-defined]  # SqlCases, known here
    engine.dispose()

    @event.listens_for(engine, "connect")
    def _limit(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute("PRAGMA max_page_count = 1")  # SQLite takes "no more than now"


def test_a_full_disk_under_the_database_loses_nothing(open_shop: OpenStores) -> None:
    stores = open_shop()
    case = stores.cases.create(a_case(), SIGNED)
    refuse_growth(stores)
    told = [case]
    with pytest.raises(StorageError) as caught:
        fill(stores, told)
    assert str(caught.value) == FULL
    again = open_shop()
    assert again.cases.get(case.id) == told[-1]
    assert len(again.cases.journal(case.id)) == told[-1].revision == len(told)
    after = again.cases.apply(case.id, long_story(999), SIGNED).after
    assert after.revision == told[-1].revision + 1


def fill(stores: Stores, told: list[Case]) -> None:
    for number in range(200):
        told.append(stores.cases.apply(told[-1].id, long_story(number), SIGNED).after)


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    def fsync(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", fsync)
        yield


@pytest.mark.usefixtures("full_disk")
def test_a_full_disk_under_the_files_leaves_no_half_file(
    open_shop: OpenStores, files_folder: Path
) -> None:
    stores = open_shop()
    with pytest.raises(StorageError) as caught:
        stores.blobs.put(b"photo")
    assert str(caught.value) == FULL
    assert stores.blobs.names() == set()
    assert [path for path in files_folder.rglob("*") if path.is_file()] == []


class _FullPlace:
    """A remote place without room."""

    def cat_file(self, path: str) -> bytes:
        raise FileNotFoundError(path)

    def find(self, path: str, *, detail: bool) -> dict[str, dict[str, object]]:
        return {path: {}} if not detail else {}

    def isfile(self, path: str) -> bool:
        return not path

    def rm_file(self, path: str) -> None:
        raise FileNotFoundError(path)


def test_a_full_remote_place_says_so() -> None:
    def write(_path: str, _data: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(StorageError) as caught:
        Blobs(_FullPlace(), "bucket", write).put(b"photo")
    assert str(caught.value) == FULL


def many_cases(stores: Stores, count: int) -> list[Case]:
    made = []
    for number in range(count):
        case = stores.cases.create(a_case(reference=f"R-{number}"), SIGNED)
        made.append(stores.cases.apply(case.id, long_story(number), SIGNED).after)
    return made


def test_a_damaged_database_says_so_and_is_not_touched(
    open_shop: OpenStores, cases_file: Path
) -> None:
    stores = open_shop()
    made = many_cases(stores, 30)
    stores.close()
    damaged = bytearray(cases_file.read_bytes())
    for page in range(8, len(damaged) // 4096, 2):
        damaged[page * 4096 : page * 4096 + 200] = b"\xff" * 200
    cases_file.write_bytes(damaged)
    with pytest.raises(StorageError, match=r"The database is damaged\. Leave it as it is"):
        read_all(open_shop(), made)
    assert cases_file.read_bytes() == damaged


def read_all(stores: Stores, made: list[Case]) -> None:
    for case in made:
        stores.cases.get(case.id)
        stores.cases.journal(case.id)


def test_one_unreadable_case_does_not_disturb_the_others(
    open_shop: OpenStores, cases_file: Path
) -> None:
    stores = open_shop()
    bad, good = many_cases(stores, 2)
    stores.close()
    with closing(sqlite3.connect(cases_file)) as connection:
        statement = (
            "UPDATE cases SET body = replace(body, '\"format\":1', '\"format\":7') WHERE id=?"
        )
        connection.execute(statement, [bad.id])
        connection.commit()
    again = open_shop()
    with pytest.raises(StorageError, match=r"cannot be read: .* made by a newer version"):
        again.cases.get(bad.id)
    with pytest.raises(StorageError, match="made by a newer version"):
        again.cases.apply(bad.id, long_story(5), SIGNED)
    assert again.cases.get(good.id) == good
    assert len(again.cases.summaries()) == 2


def test_a_damaged_file_is_told_from_an_absent_one_and_healed_by_the_right_bytes(
    open_shop: OpenStores, files_folder: Path
) -> None:
    stores = open_shop()
    name = stores.blobs.put(b"photo")
    stored = next(path for path in files_folder.rglob("*") if path.name == name)
    assert stored.relative_to(files_folder).parts == (name[:2], name[2:4], name)
    stored.write_bytes(b"phot0")
    with pytest.raises(StorageError, match="is damaged: its bytes are not those"):
        stores.blobs.get(name)
    stores.blobs.put(b"photo")
    assert stores.blobs.get(name) == b"photo"


def hurry(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute("PRAGMA busy_timeout = 1")


def test_what_a_killed_write_left_is_swept_a_day_later(
    open_shop: OpenStores, files_folder: Path
) -> None:
    open_shop()
    old, young = files_folder / "incoming" / "old.part", files_folder / "incoming" / "new.part"
    for part in (old, young):
        part.write_bytes(b"half a photo")
    os.utime(old, (0, time.time() - 25 * 3600))
    assert open_shop().blobs.names() == set()
    assert not old.exists()
    assert young.exists()


def test_a_busy_database_says_so_and_can_be_used_later(
    open_shop: OpenStores, cases_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(retry, "ATTEMPTS", 2)
    stores = open_shop()
    case = stores.cases.create(a_case(), SIGNED)
    engine = stores.cases._engine  # type: ignore[attr-defined]  # SqlCases, known here
    engine.dispose()
    event.listen(
        engine, "connect", lambda c, _record: c.execute("PRAGMA busy_timeout = 1") and None
    )
    with closing(sqlite3.connect(cases_file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StorageError, match="The database is busy; nothing was stored"):
            stores.cases.apply(case.id, long_story(1), SIGNED)
        assert stores.cases.get(case.id) == case
        other.execute("ROLLBACK")
    assert stores.cases.apply(case.id, long_story(1), SIGNED).after.revision == 2
