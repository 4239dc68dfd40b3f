"""The whole job by the command line, each step a process of its own, as a person would do it."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import docx
import pytest

from tests.builders import a_jpeg

ROOT = Path(__file__).parents[3]


class Terminal:
    """A working folder; every command starts a new process there."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.folder = folder

    def __call__(self, *argv: str) -> str:
        kept = {name: each for name, each in os.environ.items() if "UNDERBODY" not in name}
        ended = subprocess.run(
            [sys.executable, "-W", "error", "-m", "triage_app", *argv],
            cwd=self.folder,
            env={**kept, "PYTHONPATH": str(ROOT), "UNDERBODY_OPERATOR": "Ada Nowak"},
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        assert (ended.returncode, ended.stderr) == (0, ""), ended
        return ended.stdout


@pytest.fixture
def here(tmp_path: Path) -> Terminal:
    """Return the first shop."""
    return Terminal(tmp_path / "here")


@pytest.fixture
def there(tmp_path: Path) -> Terminal:
    """Return another shop, with an empty store."""
    return Terminal(tmp_path / "there")


def test_from_phone_photos_to_a_report_and_on_to_another_shop(
    here: Terminal, there: Terminal, tmp_path: Path
) -> None:
    (here.folder / "a.jpg").write_bytes(a_jpeg(seed=1))
    (here.folder / "b.jpg").write_bytes(a_jpeg(seed=2, orientation=6))
    here("new", "--ref", "R-0001", "--system-voltage-v", "400")
    here("add-photo", "R-0001", "a.jpg", "b.jpg")
    cut = ["--component", "hv_cable", "--damage", "severed", "--hangs-free", "yes"]
    here("mark", "R-0001", "a.jpg", "--outline", "0.1,0.2", "0.4,0.2", "0.4,0.5", *cut)
    here("mark", "R-0001", "b.jpg", "--box", "0.2,0.2,0.6,0.4", "--finding", "1")

    assessment = json.loads(here("assess", "R-0001"))
    assert assessment["hv_flag"] == "at_hv"

    here("report", "R-0001", "-o", "report.docx")
    text = "\n".join(_words_of(here.folder / "report.docx"))
    assert "R-0001" in text
    assert "DRAFT" in text

    bundle, backup = str(tmp_path / "bundle.zip"), str(tmp_path / "backup.zip")
    here("export", "R-0001", "-o", bundle)
    there("import", bundle)
    head = json.loads(here("journal", "R-0001", "--verify", "--json"))
    there("journal", "R-0001", "--verify", "--head", head["head"], "--count", str(head["count"]))

    here("backup", "-o", backup)
    again = Terminal(tmp_path / "again")
    again("restore", backup)
    assert again("show", "R-0001", "--json") == here("show", "R-0001", "--json")
    assert again("journal", "R-0001", "--json") == here("journal", "R-0001", "--json")


def _words_of(report: Path) -> list[str]:
    document = docx.Document(io.BytesIO(report.read_bytes()))
    cells = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    headers = [each.text for part in document.sections for each in part.header.paragraphs]
    return [*(paragraph.text for paragraph in document.paragraphs), *cells, *headers]
