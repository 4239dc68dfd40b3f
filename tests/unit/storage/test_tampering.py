"""What somebody changes in the database behind the program's back shows in the journal."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.builders import SIGNED, a_case, some_tags
from tests.unit.storage.conftest import OpenStores
from triage_app.casefile import case_to_json
from triage_app.casefile.canonical import sha256_of
from triage_app.domain.case import Case
from triage_app.domain.commands import AddFinding
from triage_app.domain.ids import FindingId
from triage_app.domain.journal import JournalEntry, first_bad_entry


@pytest.fixture
def five_entries(open_shop: OpenStores) -> list[JournalEntry]:
    stores = open_shop()
    case = stores.cases.create(a_case(), SIGNED)
    for number in range(1, 5):
        command = AddFinding(finding_id=FindingId(f"F{number}"), tags=some_tags(note="burnt"))
        stores.cases.apply(case.id, command, SIGNED)
    return stores.cases.journal(case.id)


def after(
    open_shop: OpenStores, cases_file: Path, *statements: str
) -> tuple[Case, list[JournalEntry]]:
    with closing(sqlite3.connect(cases_file)) as connection:
        for statement in statements:
            assert connection.execute(statement).rowcount == 1, statement
        connection.commit()
    stores = open_shop()
    case_id = a_case().id
    return stores.cases.get(case_id), stores.cases.journal(case_id)


@pytest.mark.parametrize(
    ("statement", "bad"),
    [
        ("UPDATE journal SET signed_by = 'Somebody Else' WHERE sequence = 3", 3),
        ("UPDATE journal SET signed_at = '2031-05-04T12:00:01.000000+00:00' WHERE sequence = 2", 2),
        ("UPDATE journal SET detail = replace(detail, 'burnt', 'scuff') WHERE sequence = 4", 4),
        ("UPDATE journal SET kind = 'mark drawn' WHERE sequence = 5", 5),
        ("UPDATE journal SET case_sha256 = previous_hash WHERE sequence = 1", 1),
        ("DELETE FROM journal WHERE sequence = 3", 3),
        ("DELETE FROM journal WHERE sequence = 1", 1),
    ],
)
@pytest.mark.usefixtures("five_entries")
def test_an_edited_or_removed_entry_is_found(
    open_shop: OpenStores, cases_file: Path, statement: str, bad: int
) -> None:
    _, entries = after(open_shop, cases_file, statement)
    assert first_bad_entry(entries) == bad


@pytest.mark.usefixtures("five_entries")
def test_two_swapped_entries_are_found(open_shop: OpenStores, cases_file: Path) -> None:
    _, entries = after(
        open_shop,
        cases_file,
        "UPDATE journal SET sequence = 99 WHERE sequence = 3",
        "UPDATE journal SET sequence = 3 WHERE sequence = 4",
        "UPDATE journal SET sequence = 4 WHERE sequence = 99",
    )
    assert first_bad_entry(entries) == 3


@pytest.mark.usefixtures("five_entries")
def test_a_changed_case_is_not_the_one_that_its_journal_ends_with(
    open_shop: OpenStores, cases_file: Path
) -> None:
    case, entries = after(
        open_shop, cases_file, "UPDATE cases SET body = replace(body, 'burnt', 'scuff')"
    )
    assert first_bad_entry(entries) is None
    assert entries[-1].case_sha256 != sha256_of(case_to_json(case))


def test_a_cut_tail_shows_against_a_head_that_was_kept(
    open_shop: OpenStores, cases_file: Path, five_entries: list[JournalEntry]
) -> None:
    _, entries = after(open_shop, cases_file, "DELETE FROM journal WHERE sequence = 5")
    assert first_bad_entry(entries) is None
    assert five_entries[-1].entry_hash not in {entry.entry_hash for entry in entries}


def test_a_journal_written_anew_shows_against_a_head_that_was_kept(
    open_shop: OpenStores, cases_file: Path, five_entries: list[JournalEntry]
) -> None:
    for table in ("journal", "case_blobs", "cases"):
        with closing(sqlite3.connect(cases_file)) as connection:
            connection.execute(f"DELETE FROM {table}")  # noqa: S608 - three words of ours
            connection.commit()
    stores = open_shop()
    case = stores.cases.create(a_case(), SIGNED)
    for number in range(1, 5):
        command = AddFinding(finding_id=FindingId(f"F{number}"), tags=some_tags(note="scuff"))
        stores.cases.apply(case.id, command, SIGNED)
    forged = stores.cases.journal(case.id)
    assert first_bad_entry(forged) is None
    assert len(forged) == len(five_entries)
    assert five_entries[-1].entry_hash not in {entry.entry_hash for entry in forged}
