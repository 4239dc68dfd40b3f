"""export, import, tidy: a case as one file, and nothing from a hostile one."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell


@pytest.fixture
def bundle(shop: Shell, tmp_path: Path) -> Path:
    """Return the exported case R-1 with one finding."""
    shop.must(
        *("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4"),
        *("--component", "hv_cable", "--damage", "severed"),
    )
    path = tmp_path / "bundle.zip"
    said = shop.must("export", "R-1", "-o", path)
    assert "may tell where they were taken" in said.out
    return path


@pytest.fixture
def elsewhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """Return a shell on another, empty store."""
    return Shell(tmp_path / "elsewhere", capsys)


def rewritten(bundle: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    with zipfile.ZipFile(bundle) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    with zipfile.ZipFile(bundle, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return bundle


def test_an_exported_case_arrives_whole_in_another_store(
    shop: Shell, bundle: Path, elsewhere: Shell
) -> None:
    said = elsewhere.must("import", bundle)
    assert said.out == "Case R-1 is here, with 2 photos and 1 findings.\n"
    assert elsewhere.case() == shop.case()
    assert elsewhere.must("journal", "R-1").out == shop.must("journal", "R-1").out
    elsewhere.must("journal", "R-1", "--verify")


def test_a_bundle_for_the_insurer_holds_no_original(shop: Shell, bundle: Path) -> None:
    out = bundle.with_name("insurer.zip")
    said = shop.must("export", "R-1", "-o", out, "--for-insurer")
    assert "originals" not in said.out
    originals = set((shop.folder / "files").rglob("*"))
    with zipfile.ZipFile(out) as archive:
        photos = [archive.read(name) for name in archive.namelist() if name.startswith("photos/")]
    assert len(photos) == 2
    kept = {path.read_bytes() for path in originals if path.is_file()}
    assert not kept.intersection(photos)


def test_the_same_case_twice_is_refused(shop: Shell, bundle: Path) -> None:
    before = shop.case()
    shop.run("import", bundle).refused("R-1")
    assert shop.case() == before


def a_path_part(members: dict[str, bytes]) -> None:
    members["../../evil.txt"] = b"evil"


def an_extra_member(members: dict[str, bytes]) -> None:
    members["extra.bin"] = b"extra"


def a_changed_photo(members: dict[str, bytes]) -> None:
    name = next(name for name in members if name.startswith("photos/"))
    members[name] += b"\0"


def a_changed_case(members: dict[str, bytes]) -> None:
    members["case.json"] = members["case.json"].replace(b"severed", b"scraped")


def no_journal(members: dict[str, bytes]) -> None:
    del members["journal.json"]


def a_newer_format(members: dict[str, bytes]) -> None:
    members["manifest.json"] = members["manifest.json"].replace(b'"format":1', b'"format":99')


@pytest.mark.parametrize(
    "change",
    [a_path_part, an_extra_member, a_changed_photo, a_changed_case, no_journal, a_newer_format],
)
def test_a_hostile_bundle_is_refused_and_stores_nothing(
    bundle: Path, elsewhere: Shell, change: Callable[[dict[str, bytes]], None]
) -> None:
    elsewhere.run("import", rewritten(bundle, change)).refused("bundle")
    assert elsewhere.must("list", "--json").json["total"] == 0
    assert elsewhere.must("tidy", "--json").json["files"] == []
    assert not (elsewhere.folder.parent.parent / "evil.txt").exists()


@pytest.mark.parametrize("data", [b"", b"no zip", b"PK\x03\x04 cut off"])
def test_what_is_no_bundle_is_refused(elsewhere: Shell, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "bad.zip"
    path.write_bytes(data)
    elsewhere.run("import", path).refused("no sound zip file")


def test_a_missing_bundle_is_named(elsewhere: Shell, tmp_path: Path) -> None:
    elsewhere.run("import", tmp_path / "gone.zip").refused("gone.zip", "does not exist")


def test_export_to_a_place_that_cannot_be_written_is_refused(shop: Shell, tmp_path: Path) -> None:
    shop.run("export", "R-1", "-o", tmp_path / "gone" / "b.zip").refused("cannot be written")


def test_tidy_finds_nothing_in_a_store_that_is_tidy(shop: Shell) -> None:
    assert shop.must("tidy").out == "0 files not needed by any case.\n"


def test_an_insurers_bundle_is_not_taken_for_a_case(
    shop: Shell, bundle: Path, elsewhere: Shell
) -> None:
    shop.must("export", "R-1", "-o", bundle, "--for-insurer")
    assert zipfile.is_zipfile(io.BytesIO(bundle.read_bytes()))
    elsewhere.run("import", bundle).refused("made for an insurer")
