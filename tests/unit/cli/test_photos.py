"""add-photo and inspect: each file is answered on its own, and bad ones cost nothing."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell

PhotoFile = Callable[..., Path]


def bad_file(folder: Path, kind: str) -> Path:
    contents = {
        "truncated.jpg": a_jpeg()[:900],
        "zero.jpg": b"",
        "text.jpg": b"This is a letter, not a photo.",
        "pdf.png": b"%PDF-1.7\n%binary",
        "page.heic": b"<html><body>no photo</body></html>",
        "program.jpg": b"MZ" + bytes(400),
    }
    path = folder / kind
    path.write_bytes(contents[kind])
    return path


BAD = ["truncated.jpg", "zero.jpg", "text.jpg", "pdf.png", "page.heic", "program.jpg"]


def test_each_file_is_answered_and_the_case_holds_it(shell: Shell, photo_file: PhotoFile) -> None:
    shell.must("new", "--ref", "R-1")
    said = shell.must("add-photo", "R-1", photo_file("a.jpg"), photo_file("b.jpg"))
    assert [line.split(",")[0] for line in said.out.splitlines()] == [
        "a.jpg: accepted",
        "b.jpg: accepted",
    ]
    assert [photo["file_name"] for photo in shell.case()["photos"]] == ["a.jpg", "b.jpg"]


def test_the_same_bytes_are_a_duplicate_and_no_fault(shop: Shell, tmp_path: Path) -> None:
    copy = tmp_path / "copy.jpg"
    copy.write_bytes((tmp_path / "under.jpg").read_bytes())
    assert shop.must("add-photo", "R-1", copy).out.startswith("copy.jpg: duplicate of under.jpg")
    assert len(shop.case()["photos"]) == 2


def test_the_wrong_ending_does_not_matter_when_the_bytes_are_a_photo(
    shop: Shell, tmp_path: Path
) -> None:
    odd = tmp_path / "photo.docx"
    odd.write_bytes(a_jpeg(seed=9))
    shop.must("add-photo", "R-1", odd)
    assert shop.case()["photos"][-1]["media_type"] == "image/jpeg"


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_file_is_refused_in_one_sentence_and_nothing_changes(
    shop: Shell, tmp_path: Path, kind: str
) -> None:
    before = shop.case()
    said = shop.run("add-photo", "R-1", bad_file(tmp_path, kind))
    said.refused(f"'{kind}' was refused:")
    assert said.out.startswith(f"{kind}: refused because: ")
    assert shop.case() == before


def test_a_bad_file_among_good_ones_costs_only_itself(
    shop: Shell, tmp_path: Path, photo_file: PhotoFile
) -> None:
    said = shop.run(
        "add-photo", "R-1", photo_file("c.jpg"), bad_file(tmp_path, "zero.jpg"), photo_file("d.jpg")
    )
    said.refused("1 of 3 files were refused", "zero.jpg")
    names = [photo["file_name"] for photo in shop.case()["photos"]]
    assert names == ["under.jpg", "side.jpg", "c.jpg", "d.jpg"]


def test_a_missing_file_and_a_folder_are_refused_each_with_its_reason(
    shop: Shell, tmp_path: Path
) -> None:
    said = shop.run("add-photo", "R-1", tmp_path / "gone.jpg", tmp_path)
    said.refused("2 of 2 files", "does not exist")
    assert "is not a file" in said.out


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("..\\..\\etc\\passwd.jpg", "passwd.jpg"),
        ("\u202egpj.exe.jpg", "gpj.exe.jpg"),
        ("line\nbreak\x1b[31m.jpg", "linebreak[31m.jpg"),
        ("n" * 240 + ".jpg", "n" * 120),
    ],
    ids=["path parts", "right to left", "control characters", "long"],
)
def test_a_hostile_name_is_only_ever_shown_and_shown_harmlessly(
    shop: Shell, tmp_path: Path, name: str, shown: str
) -> None:
    hostile = tmp_path / name
    hostile.write_bytes(a_jpeg(seed=5))
    said = shop.must("add-photo", "R-1", hostile)
    assert shop.case()["photos"][-1]["file_name"] == shown
    assert said.out.startswith(f"{shown}: accepted")
    kept = [path.name for path in (shop.folder / "files").rglob("*")]
    assert not any("passwd" in each or "gpj" in each for each in kept)


def test_a_name_with_control_characters_cannot_steer_the_terminal(
    shop: Shell, tmp_path: Path
) -> None:
    said = shop.run("add-photo", "R-1", tmp_path / "a\x1b[2Jb\nc.jpg")
    said.refused("does not exist")
    assert "\x1b" not in said.out + said.err
    assert len(said.out.splitlines()) == 1


def test_a_name_that_is_no_text_is_shown_escaped(shop: Shell, tmp_path: Path) -> None:
    hostile = os.fsdecode(os.fsencode(tmp_path) + b"/\xff\xfe.jpg")
    Path(hostile).write_bytes(b"")
    shop.run("add-photo", "R-1", hostile).refused("was refused")


def test_a_name_of_300_characters_is_refused_in_one_sentence(shop: Shell, tmp_path: Path) -> None:
    shop.run("add-photo", "R-1", tmp_path / ("n" * 300 + ".jpg")).refused("cannot be read")


def test_photos_of_a_missing_case_go_nowhere(shell: Shell, photo_file: PhotoFile) -> None:
    shell.run("add-photo", "R-404", photo_file()).refused("no case 'R-404'")


def test_inspect_tells_size_orientation_and_quality_and_stores_nothing(
    shell: Shell, photo_file: PhotoFile
) -> None:
    photos = shell.must("inspect", photo_file("turned.jpg", orientation=6)).json["photos"]
    assert photos[0]["file"] == "turned.jpg"
    assert photos[0]["orientation"] == "turned by 90 degrees clockwise"
    reading = photos[0]["reading"]
    assert (reading["width_px"], reading["height_px"]) == (480, 640)
    assert reading["media_type"] == "image/jpeg"
    assert reading["quality"]["sharpness"] > 0
    assert not shell.folder.exists()


def test_inspect_finds_the_scale_card_and_the_orange_cable_of_a_demo_photo(
    shell: Shell, demo_photos: Path
) -> None:
    """The card of photo 03 is marker 7; see demo_photos/README.md."""
    said = shell.must("inspect", demo_photos / "03_cut_hv_cable_burn_mark.jpg")
    reading = said.json["photos"][0]["reading"]
    assert len(reading["scale_markers"]) == 1
    assert reading["orange_areas"]


@pytest.mark.parametrize("kind", BAD)
def test_inspect_refuses_a_bad_file_and_still_reads_the_others(
    shell: Shell, tmp_path: Path, photo_file: PhotoFile, kind: str
) -> None:
    said = shell.run("inspect", bad_file(tmp_path, kind), photo_file("good.jpg"))
    said.refused("1 of 2 files cannot be used", kind)
    assert [photo["reading"] is None for photo in said.json["photos"]] == [True, False]
