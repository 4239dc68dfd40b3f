"""The reference says what the program does: pages are fresh, and nothing is left out."""

import argparse
from dataclasses import fields
from pathlib import Path

import pytest

from rules import load_rulebook
from tests.builders import a_jpeg
from triage_app.casefile.case_toml import CaseToml, read_case_toml
from triage_app.cli import docs
from triage_app.cli.program import build_parser
from triage_app.cli.reference_commands import commands_of, own_actions
from triage_app.settings import Settings

FOLDER = Path(__file__).parents[3] / "docs" / "reference"
PAGES = docs.pages(FOLDER)


def page(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_a_generated_file_is_as_it_would_be_written(path: Path) -> None:
    assert path.read_text(encoding="utf-8") == PAGES[path], "run: make docs"


def test_no_schema_is_left_over_from_before() -> None:
    kept = {path for path in PAGES if path.parent.name == "schemas"}
    assert set((FOLDER / "schemas").iterdir()) == kept


def test_docs_tells_which_page_is_stale(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / docs.CASE_FILE_PAGE).write_text(page(docs.CASE_FILE_PAGE), encoding="utf-8")
    assert docs.main([str(tmp_path)]) == 0
    assert docs.main([str(tmp_path), "--check"]) == 0
    (tmp_path / "cli.md").write_text("old", encoding="utf-8")
    assert docs.main([str(tmp_path), "--check"]) == 1
    assert "cli.md is not fresh" in capsys.readouterr().err


def action_id(value: object) -> str:
    """Return the same id in every process: an action's own text may hold an address."""
    return value.dest if isinstance(value, argparse.Action) else str(value)


def actions() -> list[tuple[str, argparse.Action]]:
    return [
        (name, action)
        for name, command in commands_of(build_parser()).items()
        for action in own_actions(command)
    ]


@pytest.mark.parametrize(("name", "action"), actions(), ids=action_id)
def test_every_argument_has_help_and_stands_in_the_page(name: str, action: argparse.Action) -> None:
    section = page("cli.md").partition(f"\n## {name}\n")[2].partition("\n## ")[0]
    assert action.help
    for option in action.option_strings or [str(action.metavar)]:
        assert option in section


def test_every_setting_stands_in_the_page_with_what_it_is_for() -> None:
    for setting in fields(Settings):
        assert f"`{setting.metadata['env']}`" in page("settings.md")
        assert setting.metadata["about"] in page("settings.md")


def test_every_word_of_the_rule_book_stands_in_the_page() -> None:
    book = load_rulebook()
    text = page("rules.md")
    for words in (book.components, book.damage_types, book.zones, book.sources, book.open_tests):
        for word in words:
            assert f"`{word}`" in text


def test_every_field_of_a_case_file_has_a_description() -> None:
    schema = CaseToml.model_json_schema()
    for shape in [schema, *schema["$defs"].values()]:
        for name, field in shape.get("properties", {}).items():
            assert field.get("description"), name
            assert f"`{name}`" in page("case-toml.md")


def test_the_example_of_a_case_file_is_a_case_file() -> None:
    text = page("case-toml.md").partition("```toml\n")[2].partition("```")[0]
    (finding,) = read_case_toml(text).finding
    book = load_rulebook()
    assert len(finding.mark) == 3
    assert finding.component in book.components
    assert finding.damage in book.damage_types
    assert finding.zone in book.zones


def test_the_examples_of_the_python_page_run_one_after_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("under.jpg").write_bytes(a_jpeg())
    _, *examples = page("python-api.md").split("```python\n")
    known: dict[str, object] = {}
    for example in examples:
        namespace: dict[str, object] = {}
        code = example.partition("```")[0]
        exec(compile(code, "python-api.md", "exec"), namespace)  # noqa: S102 - our own page
        known |= namespace
    assert {"assessment", "issued", "residual", "supposed", "answer"} <= set(known)
    assert known["residual"] is not None
    assert Path("report.docx").exists()
