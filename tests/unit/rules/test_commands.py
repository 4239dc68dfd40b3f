"""``python -m rules``: check, list, explain."""

import shutil
from importlib import resources
from pathlib import Path

import pytest

from rules.__main__ import main
from rules.explain import explain
from tests.unit.rules.book import the_book


def test_check_prints_the_coverage_and_ends_with_status_0(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["check"]) == 0
    out = capsys.readouterr().out
    assert the_book().stamp.sha256 in out
    assert "Skid plate" in out
    assert "0 faults" in out


def test_check_of_a_book_with_a_fault_names_it_and_ends_with_status_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tables = shutil.copytree(str(resources.files("rules") / "tables"), tmp_path / "tables")
    path = tables / "examples.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('likelihood = "D"', 'likelihood = "C"', 1), encoding="utf-8")
    assert main(["--folder", str(tables), "check"]) == 1
    assert "1 fault\n" in capsys.readouterr().out


def test_a_book_that_does_not_load_is_one_sentence_on_stderr(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--folder", str(tmp_path), "check"]) == 1
    captured = capsys.readouterr()
    assert captured.err == "actions.toml: is missing.\n"
    assert captured.out == ""


def test_list_names_every_part_damage_zone_and_rule(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["list"]) == 0
    out = capsys.readouterr().out
    book = the_book()
    names = [*book.components, *book.damage_types, *book.zones, *book.rules, *book.stop_rules]
    assert not [name for name in names if name not in out]


def test_explain_says_when_what_why_and_from_where(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "HVF-010"]) == 0
    out = capsys.readouterr().out
    for part in (
        "less its uncertainty is 300 mm or less",
        "is left to HVF-011",
        "HV flag: at HV",
        "NFPA 70E",
        "(read in a copy)",
        "hit ",
        "miss ",
    ):
        assert part in out


def test_explain_of_no_rule_is_one_sentence_on_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "HVF-999"]) == 1
    assert capsys.readouterr().err == "The rule book has no rule 'HVF-999'.\n"


def test_every_rule_can_be_explained_with_its_example() -> None:
    book = the_book()
    for rule_id in (*book.rules, *book.stop_rules):
        lines = explain(book, rule_id)
        starts = {line.split()[0] for line in lines[1:]}
        assert {"when", "then", "why", "basis", "hit", "miss"} <= starts


def test_no_command_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main([])
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


def test_order_writes_down_what_counts_as_worse(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["order"]) == 0
    out = capsys.readouterr().out
    for line in (
        "depth_mm: 0.0 < 0.5 < 1.0 < 3.0 < nobody said",
        "covers_off: True < nobody said",
        "damage: crack < fracture < severed",
        "sign on the car: no < nobody said < yes",
    ):
        assert line in out


def test_verdicts_prints_a_line_for_each_part(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["verdicts"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert sum(line.startswith("answers ") for line in lines) == len(the_book().components)
