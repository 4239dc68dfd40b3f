"""A backup is made while the program runs, and comes back whole or not at all."""

import io
import json
import sqlite3
import threading
import zipfile
from pathlib import Path

import pytest

from tests.builders import SIGNED, a_case, a_photo, some_tags
from tests.contract.stand_ins import plain_summary
from tests.unit.storage.conftest import OpenStores
from triage_app.casefile.canonical import canonical_json, sha256_of
from triage_app.domain.accounts import Account, PeopleEntry
from triage_app.domain.commands import AddFinding, AddPhoto
from triage_app.domain.errors import BundleRejectedError, InvalidInputError, StorageError
from triage_app.domain.ids import AccountId, CaseId, FindingId
from triage_app.domain.journal import first_bad_entry
from triage_app.domain.permissions import Role
from triage_app.domain.sessions import Session
from triage_app.storage import backup as backup_module
from triage_app.storage.backup import BackupContents, backup
from triage_app.storage.open import Stores, open_stores
from triage_app.storage.restore import restore

CASE = a_case().id


def fill(stores: Stores) -> None:
    """Put two cases into a shop; they share a photo, and a third file belongs to nobody."""
    for reference, pictures in (("R-0001", (b"one", b"two")), ("R-0002", (b"two",))):
        case = stores.cases.create(a_case(reference=reference, photos=()), SIGNED)
        for picture in pictures:
            photo = a_photo(sha256=stores.blobs.put(picture))
            stores.cases.apply(case.id, AddPhoto(photo=photo), SIGNED)
    stores.blobs.put(b"an orphan")


class Elsewhere:
    """An empty place to restore into."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.cases_url = f"sqlite:///{(folder / 'cases.db').as_posix()}"
        self.files_url = f"file://{(folder / 'files').as_posix()}"

    def open(self) -> Stores:
        return open_stores(self.cases_url, self.files_url, summarise=plain_summary)


@pytest.fixture
def elsewhere(tmp_path: Path) -> Elsewhere:
    return Elsewhere(tmp_path / "elsewhere")


@pytest.fixture
def target(tmp_path: Path) -> Path:
    return tmp_path / "backup.zip"


@pytest.fixture
def good(open_shop: OpenStores, cases_url: str, files_url: str, target: Path) -> Path:
    """Return the backup of a filled shop."""
    fill(open_shop())
    backup(cases_url, files_url, target)
    return target


def assert_same_shop(one: Stores, other: Stores) -> None:
    assert one.cases.summaries() == other.cases.summaries()
    for summary in one.cases.summaries():
        assert other.cases.get(summary.case_id) == one.cases.get(summary.case_id)
        assert other.cases.journal(summary.case_id) == one.cases.journal(summary.case_id)
    needed = one.cases.blob_names()
    assert needed == other.cases.blob_names()
    assert [other.blobs.get(name) for name in needed] == [one.blobs.get(name) for name in needed]


def test_what_was_backed_up_comes_back(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path, elsewhere: Elsewhere
) -> None:
    stores = open_shop()
    fill(stores)
    contents = BackupContents(case_count=2, file_count=2, missing=())
    assert backup(cases_url, files_url, target) == contents
    assert restore(target, elsewhere.cases_url, elsewhere.files_url) == contents
    restored = elsewhere.open()
    assert_same_shop(stores, restored)
    # And work goes on there, with its journal.
    command = AddFinding(finding_id=FindingId("F9"), tags=some_tags())
    restored.cases.apply(CASE, command, SIGNED)
    assert first_bad_entry(restored.cases.journal(CASE)) is None
    restored.close()


def test_nobody_is_signed_in_by_a_backup(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path
) -> None:
    stores = open_shop()
    fill(stores)
    token = sha256_of("a token")
    session = Session(
        id="s1", account_id=AccountId("a1"), opened_at=SIGNED.at, last_used_at=SIGNED.at
    )
    stores.sessions.add(token, session)
    backup(cases_url, files_url, target)
    with zipfile.ZipFile(target) as archive:
        assert token.encode() not in archive.read("database.db")


def test_people_and_what_was_done_to_them_come_back(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path, elsewhere: Elsewhere
) -> None:
    stores = open_shop()
    fill(stores)
    account = Account(
        id=AccountId("a1"),
        name="Erin Estimator",
        sign_in_name="erin",
        roles=frozenset({Role.ESTIMATOR}),
        created=SIGNED,
    )
    entry = PeopleEntry(signed=SIGNED, account_id=account.id, name=account.name, did="added")
    stores.accounts.apply(lambda _: (account, entry))
    backup(cases_url, files_url, target)
    restore(target, elsewhere.cases_url, elsewhere.files_url)
    restored = elsewhere.open()
    assert restored.accounts.all() == [account]
    assert restored.accounts.log() == [entry]
    restored.close()


def test_a_backup_with_people_is_not_laid_over_a_shop_that_has_some(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path, elsewhere: Elsewhere
) -> None:
    account = Account(
        id=AccountId("a1"), name="Ada Nowak", sign_in_name="ada", roles=frozenset(), created=SIGNED
    )
    open_shop().accounts.apply(lambda _: (account, None))
    backup(cases_url, files_url, target)
    set_up = elsewhere.open()
    set_up.accounts.apply(lambda _: (account, None))
    set_up.close()
    with pytest.raises(InvalidInputError, match="accounts of people already"):
        restore(target, elsewhere.cases_url, elsewhere.files_url)


def test_a_backup_made_while_people_work_is_of_one_moment(
    open_shop: OpenStores, cases_url: str, files_url: str, tmp_path: Path
) -> None:
    stores = open_shop()
    stores.cases.create(a_case(photos=()), SIGNED)
    stop = threading.Event()

    def work() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            photo = a_photo(number, sha256=stores.blobs.put(f"picture {number}".encode()))
            stores.cases.apply(CASE, AddPhoto(photo=photo), SIGNED)

    worker = threading.Thread(target=work)
    worker.start()
    try:
        for number in range(3):
            backup(cases_url, files_url, tmp_path / f"{number}.zip")
    finally:
        stop.set()
        worker.join()
    for number in range(3):
        place = Elsewhere(tmp_path / f"elsewhere-{number}")
        contents = restore(tmp_path / f"{number}.zip", place.cases_url, place.files_url)
        restored = place.open()
        case, entries = restored.cases.get(CASE), restored.cases.journal(CASE)
        restored.close()
        assert contents.missing == ()
        assert contents.file_count == len(case.photos) == len(entries) - 1
        assert first_bad_entry(entries) is None


def test_a_lost_file_does_not_stop_the_backup_and_is_named(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path, elsewhere: Elsewhere
) -> None:
    stores = open_shop()
    fill(stores)
    lost = sha256_of(b"one")
    stores.blobs.delete(lost)
    contents = backup(cases_url, files_url, target)
    assert contents == BackupContents(case_count=2, file_count=1, missing=(lost,))
    assert restore(target, elsewhere.cases_url, elsewhere.files_url) == contents


def test_an_existing_file_is_never_written_over(
    open_shop: OpenStores, cases_url: str, files_url: str, target: Path
) -> None:
    fill(open_shop())
    target.write_bytes(b"last week's backup")
    with pytest.raises(InvalidInputError, match="is there already"):
        backup(cases_url, files_url, target)
    assert target.read_bytes() == b"last week's backup"


def test_what_does_not_exist_is_not_backed_up(files_url: str, tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="There is no database at"):
        backup(f"sqlite:///{tmp_path}/none/cases.db", files_url, tmp_path / "b.zip")
    with pytest.raises(StorageError, match="nothing to back up"):
        backup("memory://", files_url, tmp_path / "b.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_said(
    open_shop: OpenStores, cases_url: str, files_url: str, tmp_path: Path
) -> None:
    open_shop()
    with pytest.raises(StorageError, match="No such file or directory"):
        backup(cases_url, files_url, tmp_path / "none" / "b.zip")


def test_a_backup_that_fails_half_way_leaves_nothing_behind(
    open_shop: OpenStores,
    cases_url: str,
    files_url: str,
    target: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fill(open_shop())

    def full(_file: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup_module, "sync_file", full)
    with pytest.raises(StorageError, match="The disk is full"):
        backup(cases_url, files_url, target)
    assert [path.name for path in target.parent.iterdir()] == ["shop"]


def test_a_place_that_holds_cases_is_left_alone(good: Path, elsewhere: Elsewhere) -> None:
    stores = elsewhere.open()
    stores.cases.create(a_case(reference="MINE"), SIGNED)
    with pytest.raises(InvalidInputError, match="holds cases already"):
        restore(good, elsewhere.cases_url, elsewhere.files_url)
    assert [summary.reference for summary in stores.cases.summaries()] == ["MINE"]
    assert stores.blobs.names() == set()
    stores.close()


def test_a_place_that_holds_files_is_left_alone(good: Path, elsewhere: Elsewhere) -> None:
    stores = elsewhere.open()
    mine = stores.blobs.put(b"mine")
    with pytest.raises(InvalidInputError, match="holds files already"):
        restore(good, elsewhere.cases_url, elsewhere.files_url)
    assert stores.blobs.names() == {mine}
    assert stores.cases.count() == 0
    stores.close()


def test_a_restore_that_was_cut_off_can_be_run_again(good: Path, elsewhere: Elsewhere) -> None:
    stores = elsewhere.open()
    stores.blobs.put(b"one")
    stores.close()
    assert restore(good, elsewhere.cases_url, elsewhere.files_url).case_count == 2


def members(source: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(source) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def rewritten(source: Path, held: dict[str, bytes], **manifest_news: object) -> None:
    """Zip these members under a manifest that fits them, as a careful forger would."""
    manifest = json.loads(held["manifest.json"])
    manifest["members"] = [
        {"name": n, "sha256": sha256_of(d), "byte_count": len(d), "original_sha256": None}
        for n, d in held.items()
        if n != "manifest.json"
    ]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in held.items():
            if name != "manifest.json":
                archive.writestr(name, data)
        archive.writestr("manifest.json", canonical_json(manifest | manifest_news))
    source.write_bytes(out.getvalue())


def assert_refused(source: Path, elsewhere: Elsewhere, said: str) -> None:
    with pytest.raises(BundleRejectedError, match=said):
        restore(source, elsewhere.cases_url, elsewhere.files_url)
    assert not elsewhere.folder.exists()


def test_a_cut_or_foreign_file_is_refused(good: Path, elsewhere: Elsewhere) -> None:
    good.write_bytes(good.read_bytes()[:-100])
    assert_refused(good, elsewhere, "no sound zip file")


def test_an_absent_backup_is_said(elsewhere: Elsewhere, tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="No such file"):
        restore(tmp_path / "none.zip", elsewhere.cases_url, elsewhere.files_url)


def test_a_flipped_byte_is_found(good: Path, elsewhere: Elsewhere) -> None:
    data = bytearray(good.read_bytes())
    with zipfile.ZipFile(good) as archive:
        info = archive.getinfo(f"files/{sha256_of(b'one')}")
    data[info.header_offset + 30 + len(info.filename)] ^= 1
    good.write_bytes(data)
    assert_refused(good, elsewhere, "is damaged|is not as its manifest says")


def test_a_case_changed_in_the_backup_is_found(
    good: Path, elsewhere: Elsewhere, tmp_path: Path
) -> None:
    held = members(good)
    copy = tmp_path / "copy.db"
    copy.write_bytes(held["database.db"])
    connection = sqlite3.connect(copy)
    connection.execute("UPDATE cases SET body = replace(body, 'Invented', 'Imagined')")
    connection.commit()
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    rewritten(good, {**held, "database.db": copy.read_bytes()})
    assert_refused(good, elsewhere, "case R-000[12] is not as its journal left it")


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("../evil", b"x", "holds '../evil', which does not belong there"),
        ("files/" + "ab" * 32, b"x", "is not the file of its name"),
        ("files/" + sha256_of(b"x"), b"x", "does not hold just the cases and files that it lists"),
        ("database.db", b"no database" * 500, "database cannot be used"),
        ("database.db", b"", "does not hold just the cases and files"),
    ],
)
def test_a_forged_backup_is_refused(
    good: Path, elsewhere: Elsewhere, name: str, data: bytes, said: str
) -> None:
    rewritten(good, {**members(good), name: data})
    assert_refused(good, elsewhere, said)


def test_a_bundle_of_one_case_is_no_backup(good: Path, elsewhere: Elsewhere) -> None:
    rewritten(good, members(good), kind="case bundle")
    assert_refused(good, elsewhere, "The backup's manifest is wrong at 'kind'")


def test_a_newer_backup_says_so(good: Path, elsewhere: Elsewhere) -> None:
    rewritten(good, members(good), format=2)
    assert_refused(good, elsewhere, "made by a newer version")


def test_ids_stay_as_they_were(good: Path, elsewhere: Elsewhere) -> None:
    restore(good, elsewhere.cases_url, elsewhere.files_url)
    stores = elsewhere.open()
    assert stores.cases.id_of("R-0002") == CaseId("case-r-0002")
    stores.close()
