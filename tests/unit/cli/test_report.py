"""report: a Word file that is on record, or nothing at all."""

import io
from pathlib import Path

import docx
import pytest

from tests.unit.cli.shell import Shell


def marked(shop: Shell) -> Shell:
    shop.must(
        *("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4"),
        *("--component", "hv_cable", "--damage", "severed"),
    )
    return shop


def test_the_report_is_written_and_put_on_record(shop: Shell, tmp_path: Path) -> None:
    out = tmp_path / "report.docx"
    said = marked(shop).must("report", "R-1", "-o", out)
    assert said.out == f"Report of case R-1 written to {out}.\n"
    assert docx.Document(io.BytesIO(out.read_bytes())).inline_shapes
    assert len(shop.case()["reports"]) == 1
    assert shop.case()["reports"][0]["issued"]["by"] == "Ada Nowak"


@pytest.mark.parametrize("place", ["gone/report.docx", ".", "under.jpg/report.docx"])
def test_a_place_that_cannot_be_written_is_refused_before_a_report_is_issued(
    shop: Shell, tmp_path: Path, place: str
) -> None:
    marked(shop).run("report", "R-1", "-o", tmp_path / place).refused(str(tmp_path))
    assert shop.case()["reports"] == []


def test_a_full_disk_leaves_the_old_file_and_no_half_of_a_new_one(
    shop: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "reports" / "report.docx"
    out.parent.mkdir()
    out.write_bytes(b"the old one")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    marked(shop)
    monkeypatch.setattr("triage_app.cli.files.os.fdopen", full)
    shop.run("report", "R-1", "-o", out).refused("No space left on device", "on record")
    assert [path.name for path in out.parent.iterdir()] == ["report.docx"]
    assert out.read_bytes() == b"the old one"


def test_without_a_place_it_is_wrong_usage(shop: Shell) -> None:
    shop.run("report", "R-1").wrong_usage("--output")


def test_the_rule_book_is_written_without_any_case(shell: Shell, tmp_path: Path) -> None:
    out = tmp_path / "book.docx"
    assert shell.must("rule-book", "-o", out).out.endswith(f"written to {out}.\n")
    assert docx.Document(io.BytesIO(out.read_bytes())).tables
    assert not (tmp_path / "data").exists(), "no store is opened for it"


def test_a_rule_book_that_cannot_be_written_is_refused(shell: Shell, tmp_path: Path) -> None:
    shell.run("rule-book", "-o", tmp_path / "gone" / "book.docx").refused("gone")
