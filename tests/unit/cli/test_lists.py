"""findings, marks and the PDF of a report, as a person at a command line gets them."""

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell
from tests.unit.cli.test_report import marked


def test_findings_are_printed_or_written(shop: Shell, tmp_path: Path) -> None:
    printed = marked(shop).must("findings", "R-1").out
    (row,) = csv.DictReader(io.StringIO(printed))
    assert row["part"] == "HV cable"
    out = tmp_path / "findings.csv"
    assert shop.must("findings", "R-1", "-o", out).out == (
        f"1 findings of case R-1 written to {out}.\n"
    )
    assert out.read_bytes().startswith(b"\xef\xbb\xbfnumber,part,")
    assert shop.must("findings", "R-1", "--json").json["findings"][0]["damage"] == "severed"


def test_marks_are_printed_or_written(shop: Shell, tmp_path: Path) -> None:
    assert marked(shop).must("marks", "R-1").json["total"] == 1
    out = tmp_path / "marks.jsonld"
    shop.must("marks", "R-1", "-o", out)
    held = json.loads(out.read_text(encoding="utf-8"))
    assert held["first"]["items"][0]["target"]["selector"]["type"] == "SvgSelector"


def test_a_place_that_cannot_be_written_is_refused(shop: Shell, tmp_path: Path) -> None:
    for verb in ("findings", "marks"):
        shop.run(verb, "R-1", "-o", tmp_path / "gone" / "x").refused("cannot be written")


def test_without_libreoffice_no_report_is_issued_for_a_pdf(
    shop: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    said = marked(shop).run("report", "R-1", "-o", tmp_path / "r.docx", "--pdf", tmp_path / "r.pdf")
    said.refused("A PDF needs LibreOffice Writer")
    assert shop.case()["reports"] == []
    assert not (tmp_path / "r.docx").exists()


@pytest.mark.office
def test_the_same_report_as_a_tagged_pdf(shop: Shell, tmp_path: Path) -> None:
    out = tmp_path / "r.pdf"
    marked(shop).must("report", "R-1", "-o", tmp_path / "r.docx", "--pdf", out)
    data = out.read_bytes()
    assert data.startswith(b"%PDF-")
    assert b"/MarkInfo" in data
    assert len(shop.case()["reports"]) == 1
