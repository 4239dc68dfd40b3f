"""The book loads whole or not at all, and says what is wrong where."""

import os
import shutil
import subprocess
import sys
from importlib import resources
from pathlib import Path

import pytest

from rules import RulebookError, load_rulebook

PACKAGE_TABLES = Path(str(resources.files("rules") / "tables"))


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    """Return a copy of the book that a test may spoil."""
    return Path(shutil.copytree(PACKAGE_TABLES, tmp_path / "tables"))


def spoil(tables: Path, file: str, old: str, new: str) -> None:
    path = tables / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1, f"{old!r} is not in {file}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def refusal(tables: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load_rulebook(tables)
    return str(caught.value)


# file, text, spoiled text, and what the refusal names: file, row, field
SPOILED = {
    "unknown field": (
        "hv_flag.toml",
        'then = { hv_flag = "at HV" }',
        'than = { hv_flag = "at HV" }',
        ["hv_flag.toml", "HVF-001"],
    ),
    "misspelt condition": (
        "hv_flag.toml",
        "when = { is_hv = true }",
        "when = { is_hv = true, is_vh = true }",
        ["hv_flag.toml", "HVF-001, when", "is_vh"],
    ),
    "missing unit": (
        "likelihood.toml",
        "depth_mm_min = 3 }\nunknown = { depth_mm_min",
        "depth_min = 3 }\nunknown = { depth_mm_min",
        ["likelihood.toml", "LIK-013", "depth"],
    ),
    "unknown component": (
        "consequence.toml",
        'component = ["fan"]',
        'component = ["fun"]',
        ["consequence.toml", "CON-093, when", "component", "'fun'"],
    ),
    "unknown damage": (
        "likelihood.toml",
        'damage = ["pinched"]',
        'damage = ["pinched", "squished"]',
        ["likelihood.toml", "LIK-014, when", "damage", "'squished'"],
    ),
    "unknown group": (
        "consequence.toml",
        'group = ["exhaust"]',
        'group = ["pipes"]',
        ["consequence.toml", "CON-094, when", "group"],
    ),
    "duplicate id": (
        "consequence.toml",
        'id = "CON-002"',
        'id = "CON-001"',
        ["consequence.toml", "CON-001", "id", "twice"],
    ),
    "id of another table": (
        "consequence.toml",
        'id = "CON-002"',
        'id = "LIK-002"',
        ["consequence.toml", "LIK-002", "id", "CON-"],
    ),
    "id without number": (
        "consequence.toml",
        'id = "CON-002"',
        'id = "CON-two"',
        ["consequence.toml", "CON-two", "id"],
    ),
    "row that cannot fire": (
        "consequence.toml",
        'when = { group = ["hv_conductor"], damage = ["scrape"] }',
        'when = { group = ["hv_conductor"], role = ["comfort"] }',
        ["consequence.toml", "CON-011", "when", "never fire"],
    ),
    "row that says what another says": (
        "likelihood.toml",
        '[[rule]]\nid = "LIK-002"',
        '[[rule]]\nid = "LIK-099"\nwhen = { component = ["unidentified_component"] }\n'
        'then = { likelihood = "A" }\nbecause = "Again."\nbasis = "judgement"\n\n'
        '[[rule]]\nid = "LIK-002"',
        ["likelihood.toml", "LIK-099", "when", "LIK-001"],
    ),
    "rule that asks for nothing": (
        "consequence.toml",
        'then = { consequence = "catastrophic" }',
        "then = {}",
        ["consequence.toml", "CON-001", "then", "nothing"],
    ),
    "unknown word": (
        "consequence.toml",
        'then = { consequence = "catastrophic" }',
        'then = { consequence = "awful" }',
        ["consequence.toml", "CON-001, then", "consequence", "'awful'", "catastrophic"],
    ),
    "level F by a rule": (
        "likelihood.toml",
        'then = { likelihood = "D" }',
        'then = { likelihood = "F" }',
        ["likelihood.toml", "LIK-010, then", "likelihood", "replacing"],
    ),
    "unknown source": (
        "facts.toml",
        'source = "nfpa_70e"',
        'source = "nfpa_70f"',
        ["facts.toml", "APP-01", "source", "'nfpa_70f'"],
    ),
    "unknown fact cited": (
        "hv_flag.toml",
        'cites = ["APP-01"]',
        'cites = ["APP-09"]',
        ["hv_flag.toml", "HVF-010", "cites", "'APP-09'"],
    ),
    "standard without source": (
        "hv_flag.toml",
        'basis = "regulation"\ncites = ["F305-01", "OSHA-02"]',
        'basis = "regulation"',
        ["hv_flag.toml", "HVF-001", "cites"],
    ),
    "value without unit": (
        "facts.toml",
        'value = 0.3\nunit = "m"',
        "value = 0.3",
        ["facts.toml", "APP-01", "unit", "missing"],
    ),
    "no word on the unknown": (
        "likelihood.toml",
        'unknown = { depth_mm_min = "met" }\n',
        "",
        ["likelihood.toml", "LIK-013, when", "depth_mm_min", "unknown"],
    ),
    "unknown left to nobody": (
        "hv_flag.toml",
        'unknown = { hv_within_mm = "HVF-011" }',
        'unknown = { hv_within_mm = "HVF-999" }',
        ["hv_flag.toml", "HVF-010", "unknown", "HVF-999"],
    ),
    "word on an unknown not asked": (
        "hv_flag.toml",
        'unknown = { hv_within_mm = "HVF-011" }',
        'unknown = { hv_within_mm = "HVF-011", hv_zone = "met" }',
        ["hv_flag.toml", "HVF-010", "unknown", "hv_zone"],
    ),
    "condition asked for as false": (
        "hv_flag.toml",
        "when = { near_orange = true }",
        "when = { near_orange = false }",
        ["hv_flag.toml", "HVF-005, when", "near_orange"],
    ),
    "negative limit": (
        "hv_flag.toml",
        "hv_within_mm = 300 }",
        "hv_within_mm = -300 }",
        ["hv_flag.toml", "HVF-010, when", "hv_within_mm"],
    ),
    "limit that is no number": (
        "hv_flag.toml",
        "hv_within_mm = 300 }",
        'hv_within_mm = "300" }',
        ["hv_flag.toml", "HVF-010, when", "hv_within_mm", "number"],
    ),
    "limit that is not finite": (
        "hv_flag.toml",
        "hv_within_mm = 300 }",
        "hv_within_mm = nan }",
        ["hv_flag.toml", "HVF-010, when", "hv_within_mm", "finite"],
    ),
    "unknown action": (
        "danger.toml",
        'actions = ["hands_off_opening"]',
        'actions = ["hands_on"]',
        ["danger.toml", "DNG-001, then", "actions", "'hands_on'"],
    ),
    "unknown test": (
        "hv_flag.toml",
        'tests = ["measure_distance"]',
        'tests = ["sniffing"]',
        ["hv_flag.toml", "HVF-011, then", "tests", "'sniffing'"],
    ),
    "safing action that nothing requires": (
        "actions.toml",
        'is_safing = true\nrequired_from = "within reach"',
        "is_safing = true",
        ["actions.toml", "maker_procedure_first", "required_from"],
    ),
    "two actions at one place": (
        "actions.toml",
        "order = 20",
        "order = 10",
        ["actions.toml", "keep_outside", "order", "call_fire_service"],
    ),
    "one-sided neighbours": (
        "zones.toml",
        'adjacent = ["front_end", "front_left", "front_right", "battery_front"]',
        'adjacent = ["front_end", "front_left", "front_right"]',
        ["zones.toml", "battery_front", "adjacent", "front_centre"],
    ),
    "HV part without HV": (
        "components.toml",
        "is_hv = true\nhv_runs_behind = true",
        "is_hv = true\nhv_runs_behind = false",
        ["components.toml", "hv_cable", "hv_runs_behind"],
    ),
    "part nowhere": (
        "components.toml",
        'zones = ["front_end"]',
        "zones = []",
        ["components.toml", "radiator", "zones"],
    ),
    "role that is none": (
        "components.toml",
        'role = "high_voltage"',
        'role = "electric"',
        ["components.toml", "hv_cable", "role", "'electric'"],
    ),
    "no unidentified part": (
        "components.toml",
        'id = "unidentified_component"',
        'id = "something"',
        ["components.toml", "unidentified_component"],
    ),
    "short row of table III": (
        "risk_matrix.toml",
        'C = ["high",       "serious",    "medium",     "low"]',
        'C = ["high", "serious", "medium"]',
        ["risk_matrix.toml", "risk", "C"],
    ),
    "missing row of table III": (
        "risk_matrix.toml",
        'F = ["eliminated", "eliminated", "eliminated", "eliminated"]\n',
        "",
        ["risk_matrix.toml", "risk", "F", "missing"],
    ),
    "sign without an unknown": (
        "stop_signs.toml",
        'sign = "smoke"\nanswer = "unknown"',
        'sign = "smog"\nanswer = "unknown"',
        ["stop_signs.toml", "needs a row"],
    ),
    "example of no rule": (
        "examples.toml",
        'rule = "CON-001"',
        'rule = "CON-999"',
        ["examples.toml", "CON-999", "rule"],
    ),
    "example with a misspelt fact": (
        "examples.toml",
        'damage = "scrape" }',
        'damage = "scrape", dept_mm = 3 }',
        ["examples.toml", "CON-001, hit", "dept_mm"],
    ),
    "empty reason": (
        "consequence.toml",
        'because = "Nobody has said which part this is, so it may be a live one."',
        'because = " "',
        ["consequence.toml", "CON-001", "because"],
    ),
    "broken TOML": (
        "likelihood.toml",
        "[[rule]]",
        "[[rule]",
        ["likelihood.toml", "TOML"],
    ),
    "stray table": (
        "consequence.toml",
        '[[rule]]\nid = "CON-001"',
        '[extra]\nx = 1\n\n[[rule]]\nid = "CON-001"',
        ["consequence.toml", "extra"],
    ),
}


@pytest.mark.parametrize(("file", "old", "new", "named"), SPOILED.values(), ids=SPOILED.keys())
def test_a_spoiled_row_is_refused_by_file_row_and_field(
    tables: Path, file: str, old: str, new: str, named: list[str]
) -> None:
    spoil(tables, file, old, new)
    message = refusal(tables)
    for part in named:
        assert part in message
    assert "\n" not in message.strip()


def test_a_missing_table_is_refused_by_name(tables: Path) -> None:
    (tables / "hv_flag.toml").unlink()
    assert refusal(tables) == "hv_flag.toml: is missing."


def test_a_table_that_nobody_reads_is_refused_rather_than_passed_over(tables: Path) -> None:
    (tables / "shop.toml").write_text("")
    assert refusal(tables) == "shop.toml: is not expected."


def test_a_table_that_is_not_utf8_is_refused(tables: Path) -> None:
    (tables / "zones.toml").write_bytes(b"\xff\xfe")
    assert "zones.toml" in refusal(tables)


def test_a_folder_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    assert "cannot be read" in refusal(tmp_path / "nowhere")


def test_the_book_comes_with_the_package_whatever_the_working_directory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert load_rulebook().stamp == load_rulebook(PACKAGE_TABLES).stamp


def test_the_stamp_changes_with_any_letter_of_any_table(tables: Path) -> None:
    stamps = {load_rulebook(tables).stamp.sha256}
    for path in sorted(tables.glob("*.toml")):
        path.write_text(path.read_text(encoding="utf-8") + "# x\n", encoding="utf-8")
        stamps.add(load_rulebook(tables).stamp.sha256)
    assert len(stamps) == 1 + len(list(tables.glob("*.toml")))


def test_the_stamp_does_not_depend_on_line_ends(tables: Path) -> None:
    before = load_rulebook(tables).stamp
    for path in tables.glob("*.toml"):
        path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert load_rulebook(tables).stamp == before


def test_the_book_cannot_be_changed_once_loaded() -> None:
    book = load_rulebook()
    with pytest.raises(TypeError):
        book.rules["X"] = None  # type: ignore[index]  # that is the point
    with pytest.raises(AttributeError):
        book.title = "mine"  # type: ignore[misc]  # that is the point


def test_rules_pull_in_nothing_heavy() -> None:
    heavy = {"streamlit", "cv2", "docx", "PIL", "numpy", "pandas", "pydantic", "sqlalchemy"}
    code = (
        "import sys; from rules import load_rulebook; load_rulebook();"
        f"print(sorted({heavy!r} & set(sys.modules)))"
    )
    root = Path(__file__).parents[3]
    answer = _run(code, root)
    assert answer == "[]"


def _run(code: str, root: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(root)},
    )
    return done.stdout.strip()
