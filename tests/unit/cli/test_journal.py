"""journal: printed, and verified against what was kept elsewhere."""

import sqlite3
from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell


def change_database(shell: Shell, statement: str, *values: object) -> None:
    """Do to the database what a forger with a database tool would do."""
    connection = sqlite3.connect(shell.folder / "cases.db")
    with connection:
        connection.execute(statement, values)
    connection.close()


@pytest.fixture
def head(shop: Shell) -> str:
    """Return the head hash of the journal with its three entries."""
    return str(shop.must("journal", "R-1", "--verify", "--json").json["head"])


def test_the_journal_says_who_did_what_and_when(shop: Shell) -> None:
    lines = shop.must("journal", "R-1").out.splitlines()
    assert lines[0].endswith("Ada Nowak: case opened")
    assert lines[1].endswith("Ada Nowak: photo added")
    assert lines[-1].startswith("3 entries, head ")


def test_a_whole_journal_verifies_with_its_head_and_count(shop: Shell, head: str) -> None:
    said = shop.must("journal", "R-1", "--verify", "--head", head, "--count", "3")
    assert said.out == f"The journal is whole: 3 entries, head {head}\n"


def test_a_head_stays_in_the_chain_when_work_goes_on(shop: Shell, head: str) -> None:
    shop.must("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4")
    shop.must("journal", "R-1", "--verify", "--head", head.upper(), "--count", "3")
    shop.run("journal", "R-1", "--verify", "--head", head, "--count", "4").broken_journal("cut off")


def test_a_changed_entry_is_named(shop: Shell) -> None:
    change_database(shop, "UPDATE journal SET kind = 'nothing' WHERE sequence = 2")
    shop.run("journal", "R-1", "--verify").broken_journal("broken at entry 2")


def test_a_removed_entry_is_named(shop: Shell) -> None:
    change_database(shop, "DELETE FROM journal WHERE sequence = 2")
    shop.run("journal", "R-1", "--verify").broken_journal("broken at entry 2")


def test_a_cut_tail_shows_against_the_case_and_against_the_head(shop: Shell, head: str) -> None:
    change_database(shop, "DELETE FROM journal WHERE sequence = 3")
    shop.run("journal", "R-1", "--verify").broken_journal("not as entry 2")
    shop.run("journal", "R-1", "--verify", "--head", head).broken_journal("cut off")


def test_a_rewritten_journal_shows_against_the_head(
    shop: Shell, head: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same case made anew has another head, although its own chain is whole."""
    forged = Shell(tmp_path / "forged", capsys, by="Another Name")
    forged.must("new", "--ref", "R-1", "--vehicle", "Invented hatchback")
    forged.must("add-photo", "R-1", tmp_path / "under.jpg", tmp_path / "side.jpg")
    forged.must("journal", "R-1", "--verify")
    forged.run("journal", "R-1", "--verify", "--head", head, "--count", "3").broken_journal(
        "written anew"
    )


def test_a_case_that_was_changed_behind_its_journal_shows(shop: Shell) -> None:
    change_database(
        shop, "UPDATE cases SET body = replace(body, 'Invented hatchback', 'Invented van')"
    )
    shop.run("journal", "R-1", "--verify").broken_journal("not as entry 3")


def test_the_answer_as_json_is_given_also_when_it_is_bad(shop: Shell) -> None:
    change_database(shop, "UPDATE journal SET kind = 'nothing' WHERE sequence = 2")
    said = shop.run("journal", "R-1", "--verify", "--json")
    assert said.status == 3
    assert said.json["whole"] is False
    assert "entry 2" in said.json["fault"]
    assert said.json["first_bad_entry"] == 2
    assert said.json["count"] == 3


def test_a_fault_that_is_in_no_entry_names_none(shop: Shell) -> None:
    change_database(shop, "DELETE FROM journal WHERE sequence = 3")
    said = shop.run("journal", "R-1", "--verify", "--json")
    assert said.status == 3
    assert said.json["first_bad_entry"] is None
    assert "not as entry 2" in said.json["fault"]


def test_entries_of_another_case_in_its_place_are_found(shop: Shell) -> None:
    shop.must("new", "--ref", "R-2", "--vehicle", "Invented van")
    change_database(
        shop, "DELETE FROM journal WHERE case_id = (SELECT id FROM cases WHERE reference = 'R-1')"
    )
    change_database(
        shop, "UPDATE journal SET case_id = (SELECT id FROM cases WHERE reference = 'R-1')"
    )
    shop.run("journal", "R-1", "--verify").broken_journal("broken at entry 1")


def test_it_says_how_much_was_done_after_the_head_that_was_printed(shop: Shell, head: str) -> None:
    shop.must("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4")
    said = shop.must("journal", "R-1", "--verify", "--head", head)
    assert "were made after it" in said.out
    told = shop.must("journal", "R-1", "--verify", "--head", head, "--json").json
    assert told["entries_after_given_head"] == told["count"] - 3 > 0


def test_a_head_that_is_no_hash_is_refused(shop: Shell) -> None:
    shop.run("journal", "R-1", "--verify", "--head", "abc").refused("64 digits")


@pytest.mark.parametrize(
    "options", [["--head", "0" * 64], ["--count", "3"], ["--verify", "--count", "3"]]
)
def test_options_that_lack_their_partner_are_wrong_usage(shop: Shell, options: list[str]) -> None:
    shop.run("journal", "R-1", *options).wrong_usage("goes with")
