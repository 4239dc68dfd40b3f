"""The pages work as printed: links lead somewhere, the tutorial's command makes its report."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from docx import Document

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    links = re.findall(r"\]\(([^)#]+)", page.read_text(encoding="utf-8"))
    local = [link for link in links if not link.startswith("http")]
    assert [link for link in local if not (page.parent / link).exists()] == []


def test_the_command_of_the_tutorial_makes_its_report(tmp_path: Path) -> None:
    text = (ROOT / "docs" / "tutorial" / "first-case.md").read_text(encoding="utf-8")
    (printed,) = re.findall(r"^underbody .*run .*$", text, re.MULTILINE)
    words = shlex.split(printed)[1:]
    words = [str(ROOT / word) if word.startswith("demo_photos/") else word for word in words]
    done = subprocess.run(
        [sys.executable, "-m", "triage_app", *words],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    paragraphs = Document(str(tmp_path / "report.docx")).paragraphs
    assert any("Finding 1. HV cable" in paragraph.text for paragraph in paragraphs)
