"""What is printed as JSON is what its published schema says, and nothing else."""

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.unit.cli.shell import Shell
from triage_app.casefile.case_toml import read_case_toml
from triage_app.cli.documents import DOCUMENTS, schema_of

SCHEMAS = Path(__file__).parents[3] / "docs" / "reference" / "schemas"


def published(name: str) -> dict[str, Any]:  # Any: a JSON Schema is free-form
    loaded: dict[str, Any] = json.loads(
        (SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8")
    )
    return loaded


def check(name: str, document: object) -> None:
    validator = jsonschema.Draft202012Validator(published(name))
    faults = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]
    assert faults == []


@pytest.fixture
def full(shop: Shell, tmp_path: Path) -> Shell:
    """Return a shell whose case holds every kind of thing: outlines, tags, a report."""
    shop.must(
        *("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4", "--component", "hv_cable"),
        *("--damage", "severed", "--side", "left", "--zone", "front_centre", "--depth-mm", "3"),
    )
    shop.must("mark", "R-1", "2", "--ellipse", "0.5,0.5,60,40", "--finding", "1")
    shop.must("mark", "R-1", "2", "--outline", "0.1,0.1", "0.4,0.1", "0.4,0.5")
    shop.must(
        *("record-test", "R-1", "--test", "isolation_resistance", "--outcome", "met"),
        *("--value", "4.8", "--unit", "Mohm", "--instrument", "Tester", "--criterion", "1 Mohm"),
        *("--calibration-due", "2999-12-31", "--document", "H-4", "--document-date", "2030"),
    )
    shop.must("record-instruction", "R-1", "1", "--says", "replace", "--criterion", "Replace it",
              "--document", "H-4", "--document-date", "2030")  # fmt: skip
    assert shop.run("accept-evidence", "R-1", "1", "--by", "Ben Ruiz").status == 0
    shop.must("report", "R-1", "-o", tmp_path / "r.docx")
    return shop


@pytest.mark.parametrize(
    ("name", "argv"),
    [
        ("case", ["show", "R-1", "--json"]),
        ("case", ["new", "--json", "--pre-loss-value", "23800.00"]),
        ("case", ["mark", "R-1", "1", "--box", "0.5,0.5,0.6,0.6", "--json"]),
        ("assessment", ["assess", "R-1"]),
        (
            "what-if",
            [
                *("assess", "R-1", "--json", "--suppose", "car: smoke = yes"),
                *("--suppose", "finding 1: damage = scrape, part = replaced"),
            ],
        ),
        ("evidence", ["evidence", "R-1", "--json"]),
        ("journal", ["journal", "R-1", "--json"]),
        ("journal-check", ["journal", "R-1", "--verify", "--json"]),
        ("case-list", ["list", "--json"]),
        ("rulebook", ["check-rules", "--json"]),
        ("tidy", ["tidy", "--json"]),
    ],
)
def test_a_document_is_as_its_published_schema_says(
    full: Shell, name: str, argv: list[str]
) -> None:
    check(name, full.must(*argv).json)


def test_photo_readings_are_as_their_schema_says(shell: Shell, demo_photos: Path) -> None:
    good = demo_photos / "03_cut_hv_cable_burn_mark.jpg"
    check("photo-readings", shell.run("inspect", good, demo_photos / "README.md").json)


def test_an_assessment_of_an_empty_case_is_as_its_schema_says(shop: Shell) -> None:
    check("assessment", shop.must("assess", "R-1").json)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("surprise",), 1),
        (("risk",), 4),
        (("findings", 0, "hv_flag"), "maybe"),
        (("findings", 0, "actions"), None),
    ],
)
def test_a_document_that_was_changed_is_not_as_its_schema_says(
    full: Shell, path: tuple[str | int, ...], value: object
) -> None:
    document = full.must("assess", "R-1").json
    *way, last = path
    place = document
    for step in way:
        place = place[step]
    place[last] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, published("assessment"))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_schema_is_a_valid_schema_and_carries_its_format(name: str) -> None:
    schema = schema_of(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["properties"]["format"]["const"] == 1
    assert schema["additionalProperties"] is False


@pytest.mark.parametrize("said", ['"yes"', '"no"', '"unknown"', "true", "false"])
def test_a_case_file_is_as_its_schema_says(demo_photos: Path, said: str) -> None:
    text = (demo_photos / "case.toml").read_text(encoding="utf-8")
    text = text.replace('smoke = "no"', f"smoke = {said}").replace(
        "covers_off = true", f"covers_off = {said}"
    )
    read_case_toml(text)
    # By way of JSON, as the reader does: a TOML date becomes a text.
    check("case-toml", json.loads(json.dumps(tomllib.loads(text), default=str)))


@pytest.mark.parametrize("name", sorted(set(DOCUMENTS) - {"case-toml"}))
def test_no_level_goes_by_number(name: str) -> None:
    for definition in schema_of(name).get("$defs", {}).values():
        assert all(isinstance(word, str) for word in definition.get("enum", []))
