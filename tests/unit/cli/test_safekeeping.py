"""backup and restore: everything comes back, and nothing is written over."""

from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell


@pytest.fixture
def elsewhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """Return a shell on another, empty store."""
    return Shell(tmp_path / "elsewhere", capsys)


def test_what_was_backed_up_comes_back_whole(shop: Shell, elsewhere: Shell, tmp_path: Path) -> None:
    backup = tmp_path / "backup.zip"
    said = shop.must("backup", "-o", backup)
    assert said.out == f"1 cases and 2 files written to {backup} and read back.\n"
    assert elsewhere.must("restore", backup).out == "1 cases and 2 files are back.\n"
    assert elsewhere.case() == shop.case()
    elsewhere.must("journal", "R-1", "--verify")
    elsewhere.must("export", "R-1", "-o", tmp_path / "bundle.zip")


def test_a_backup_is_never_written_over_a_file(shop: Shell, tmp_path: Path) -> None:
    there = tmp_path / "backup.zip"
    there.write_bytes(b"another backup")
    shop.run("backup", "-o", there).refused("there already")
    assert there.read_bytes() == b"another backup"


def test_a_backup_is_never_put_back_over_cases(shop: Shell, tmp_path: Path) -> None:
    backup = tmp_path / "backup.zip"
    shop.must("backup", "-o", backup)
    before = shop.case()
    shop.run("restore", backup).refused()
    assert shop.case() == before


def test_a_lost_file_is_named_and_the_rest_is_backed_up(
    shop: Shell, elsewhere: Shell, tmp_path: Path
) -> None:
    lost = shop.case()["photos"][0]["sha256"]
    for path in (shop.folder / "files").rglob(f"*{lost}*"):
        path.unlink()
    backup = tmp_path / "backup.zip"
    shop.run("backup", "-o", backup).refused("1 files", lost)
    assert "1 files were lost" in elsewhere.must("restore", backup).out


def test_there_is_nothing_to_back_up_where_no_database_is(shell: Shell, tmp_path: Path) -> None:
    shell.run("backup", "-o", tmp_path / "backup.zip").refused("no database")
    assert not (tmp_path / "backup.zip").exists()
    assert not shell.folder.exists()


@pytest.mark.parametrize("data", [b"", b"no zip", b"PK\x03\x04 cut off"])
def test_what_is_no_backup_is_refused(elsewhere: Shell, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "bad.zip"
    path.write_bytes(data)
    elsewhere.run("restore", path).refused()
    elsewhere.run("restore", tmp_path / "gone.zip").refused("gone.zip")


def test_a_bundle_is_not_taken_for_a_backup(shop: Shell, elsewhere: Shell, tmp_path: Path) -> None:
    shop.must("export", "R-1", "-o", tmp_path / "bundle.zip")
    elsewhere.run("restore", tmp_path / "bundle.zip").refused("backup")
