"""What any release stored opens for ever: its database, its bundle and its backup."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.builders import ADMINISTRATOR
from tests.contract.stand_ins import plain_summary
from tests.make_release_fixture import CASE_ID, RELEASES
from triage_app import __version__
from triage_app.casefile import command_from_json
from triage_app.domain.journal import first_bad_entry
from triage_app.services.archive import Archive
from triage_app.storage.open import Stores, open_stores
from triage_app.storage.restore import restore

STORED = sorted(path for path in RELEASES.iterdir() if path.is_dir())


@pytest.fixture(params=STORED, ids=[path.name for path in STORED])
def release(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


def assert_is_as_it_was_stored(stores: Stores, release: Path) -> None:
    expected: dict[str, Any] = json.loads((release / "expected.json").read_text())
    case, entries = stores.cases.get(CASE_ID), stores.cases.journal(CASE_ID)
    assert first_bad_entry(entries) is None
    assert expected["journal_head"] in {entry.entry_hash for entry in entries}
    assert case.revision >= expected["revision"]
    assert len(case.findings) == expected["findings"]
    assert len(case.open_findings) == expected["open_findings"]
    assert len(case.photos) == expected["photos"]
    assert len(case.evidence) == expected.get("evidence", 0)
    assert stores.cases.id_of("RELEASE") == CASE_ID
    assert [summary.case_id for summary in stores.cases.summaries()] == [CASE_ID]
    for entry in entries[1:]:
        command_from_json(json.dumps(json.loads(entry.detail)["command"]))


def test_this_release_has_its_fixture() -> None:
    assert __version__ in {path.name for path in STORED}


def test_the_database_of_a_release_opens(release: Path, tmp_path: Path) -> None:
    shutil.copy(release / "cases.db", tmp_path / "cases.db")
    stores = open_stores(f"sqlite:///{tmp_path}/cases.db", "memory://", summarise=plain_summary)
    assert_is_as_it_was_stored(stores, release)
    stores.close()


def test_the_bundle_of_a_release_is_imported(release: Path) -> None:
    stores = open_stores("memory://", "memory://", summarise=plain_summary)
    archive = Archive(cases=stores.cases, blobs=stores.blobs)
    archive.import_bundle((release / "case.zip").read_bytes(), by=ADMINISTRATOR)
    assert_is_as_it_was_stored(stores, release)


def test_the_backup_of_a_release_is_restored(release: Path, tmp_path: Path) -> None:
    cases_url, files_url = f"sqlite:///{tmp_path}/cases.db", f"file://{tmp_path}/files"
    restore(release / "backup.zip", cases_url, files_url)
    stores = open_stores(cases_url, files_url, summarise=plain_summary)
    assert_is_as_it_was_stored(stores, release)
    for name in stores.cases.blob_names():
        stores.blobs.get(name)
    stores.close()
