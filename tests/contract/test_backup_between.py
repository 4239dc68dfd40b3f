"""A backup of one kind of database restores into another, unchanged."""

from pathlib import Path

from tests.builders import SIGNED, a_case, a_photo, some_tags
from tests.contract.stand_ins import plain_summary
from triage_app.domain.commands import AddFinding, AddPhoto
from triage_app.domain.ids import FindingId
from triage_app.storage.backup import backup
from triage_app.storage.open import Stores, open_stores
from triage_app.storage.restore import restore


def fill(stores: Stores) -> None:
    stores.shop.put("card side: square", "59.8")
    for number in (1, 2):
        case = stores.cases.create(a_case(reference=f"R-{number}", photos=()), SIGNED)
        photo = a_photo(sha256=stores.blobs.put(b"picture"))
        stores.cases.apply(case.id, AddPhoto(photo=photo), SIGNED)
        tags = some_tags(note="Ölfleck über dem Stecker")
        stores.cases.apply(case.id, AddFinding(finding_id=FindingId("F"), tags=tags), SIGNED)


def everything(cases_url: str, files_url: str) -> list[object]:
    stores = open_stores(cases_url, files_url, summarise=plain_summary)
    found: list[object] = [stores.shop.all()]
    for summary in stores.cases.summaries():
        found += [summary, stores.cases.get(summary.case_id), stores.cases.journal(summary.case_id)]
    found += [stores.blobs.get(name) for name in sorted(stores.cases.blob_names())]
    stores.close()
    return found


def carried(from_url: str, to_url: str, folder: Path) -> tuple[list[object], list[object]]:
    """Fill one shop, carry it to another by a backup, and return what is in each."""
    from_files, to_files = f"file://{folder}/from", f"file://{folder}/to"
    stores = open_stores(from_url, from_files, summarise=plain_summary)
    fill(stores)
    stores.close()
    backup(from_url, from_files, folder / "backup.zip")
    restore(folder / "backup.zip", to_url, to_files)
    return everything(from_url, from_files), everything(to_url, to_files)


def test_a_backup_of_any_database_restores_into_sqlite(shared_url: str, tmp_path: Path) -> None:
    before, after = carried(shared_url, f"sqlite:///{tmp_path}/restored.db", tmp_path)
    assert before == after
    assert len(before) == 8


def test_a_backup_of_sqlite_restores_into_any_database(shared_url: str, tmp_path: Path) -> None:
    before, after = carried(f"sqlite:///{tmp_path}/first.db", shared_url, tmp_path)
    assert before == after
    assert len(before) == 8
