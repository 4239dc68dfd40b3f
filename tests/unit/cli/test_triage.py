"""assess and check-rules: the same answers as the app, as JSON or as lines."""

from dataclasses import replace
from pathlib import Path

import pytest

from rules import load_rulebook
from rules.checks import check
from tests.builders import a_case, a_finding, some_tags
from tests.unit.cli.shell import Shell
from triage_app.casefile import case_to_json
from triage_app.cli.commands import triage as triage_commands

CUT_CABLE = ("--component", "hv_cable", "--damage", "severed")


def test_assess_gives_risk_flag_reasons_and_safing_of_a_case(shop: Shell) -> None:
    shop.must("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4", *CUT_CABLE)
    answer = shop.must("assess", "R-1").json
    assert (answer["hv_flag"], answer["risk"]) == ("at_hv", "high")
    finding = answer["findings"][0]
    assert finding["finding_id"] == shop.case()["findings"][0]["id"]
    assert finding["hv_reasons"]
    assert any(action["is_safing"] for action in finding["actions"])


def test_an_empty_case_is_not_assessed_and_never_low(shop: Shell) -> None:
    assert shop.must("assess", "R-1").json["risk"] is None


def test_assess_reads_a_case_from_a_json_file_and_needs_no_store(
    shell: Shell, tmp_path: Path
) -> None:
    file = tmp_path / "case.json"
    file.write_text(case_to_json(a_case(a_finding())), encoding="utf-8")
    assert shell.must("assess", file).json["hv_flag"] == "at_hv"
    assert not shell.folder.exists()


def test_assess_of_a_file_is_that_of_the_stored_case(shop: Shell, tmp_path: Path) -> None:
    shop.must("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4", "--component", "skid_plate")
    file = tmp_path / "case.json"
    file.write_text(shop.must("show", "R-1", "--json").out, encoding="utf-8")
    assert shop.must("assess", file).out == shop.must("assess", "R-1").out


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (b"", "JSON"),
        (b"{", "JSON"),
        (b"[]", "wrong"),
        (b"{}", "missing"),
        (b"\xff\xfe{}", "UTF-8"),
        (b"[" * 100_000, "JSON"),
        (b'{"format": 99}', "newer version"),
    ],
    ids=["empty", "cut off", "list", "no field", "not text", "too deep", "newer"],
)
def test_a_file_that_is_no_case_is_refused(
    shell: Shell, tmp_path: Path, text: bytes, word: str
) -> None:
    file = tmp_path / "case.json"
    file.write_bytes(text)
    shell.run("assess", file).refused(word)


def test_a_case_with_a_word_that_the_rule_book_does_not_know_is_refused(
    shell: Shell, tmp_path: Path
) -> None:
    file = tmp_path / "case.json"
    case = a_case(a_finding(tags=some_tags("flux_capacitor")))
    file.write_text(case_to_json(case), encoding="utf-8")
    shell.run("assess", file).refused("Finding 1", "no component 'flux_capacitor'")


def test_a_missing_json_file_is_named(shell: Shell, tmp_path: Path) -> None:
    shell.run("assess", tmp_path / "gone.json").refused("gone.json", "does not exist")


def test_check_rules_finds_no_fault_in_our_book(shell: Shell) -> None:
    said = shell.must("check-rules")
    assert said.out.startswith("Rule book revision ")
    assert "\n0 faults\n" in said.out
    assert not shell.folder.exists()


def test_check_rules_counts_the_flags_of_the_demo_case(shell: Shell) -> None:
    """A book that flags every finding, or none, would make the reviewer's queue worthless."""
    flags = shell.must("check-rules", "--json").json["hv_flags_of_demo"]
    assert sum(flags.values()) == 12
    assert 0 < flags["at_hv"] < 12
    assert f"at hv {flags['at_hv']}, " in shell.must("check-rules").out.splitlines()[-1]


def test_check_rules_lists_every_word_that_mark_takes(shell: Shell) -> None:
    listed = shell.must("check-rules", "--list").out
    book = load_rulebook()
    for words in (book.components, book.damage_types, book.zones):
        for word in words:
            assert f"  {word} " in listed


def test_check_rules_fails_and_names_the_first_fault_of_a_bad_book(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = replace(check(load_rulebook()), faults=("HV-001 never fires", "no source"))
    monkeypatch.setattr(triage_commands, "check", lambda _: report)
    said = shell.run("check-rules")
    said.refused("2 faults", "HV-001 never fires")
    assert "no source" in said.out
    assert shell.run("check-rules", "--json").json["faults"] == ["HV-001 never fires", "no source"]
