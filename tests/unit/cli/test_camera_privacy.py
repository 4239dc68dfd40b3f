"""Where a photo was taken and with what stays in the shop: every byte that leaves is searched."""

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell

MAKE, MODEL = "Zyxware", "Periscope 9"
# Tags of CIPA DC-008 (EXIF 2.32) and what is written into each.
EXIF_TEXTS = {
    0xA430: "OWNER-QUILL",
    0xA431: "BODY-SERIAL-4711",
    0xA433: "Lensmill",
    0xA434: "LENS-MODEL-35",
    0xA435: "LENS-SERIAL-0815",
    0x927C: "MAKERNOTE-1234",
    0x9286: "USERCOMMENT-55",
}
PLACE = "GEOFENCE-ELMSTREET"
COMMENT = "JPEGCOMMENT-77"
XMP = "XMPSERIAL-88"
EXIF_BLOCK = "Exif\0\0"  # opens a JPEG's EXIF, and with it the place as numbers
SECRETS = (EXIF_BLOCK, MAKE, "Periscope", *EXIF_TEXTS.values(), PLACE, COMMENT, XMP)


def a_telling_photo() -> bytes:
    """Return a JPEG that says where, by whom and with which camera and lens it was taken."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = MAKE, MODEL
    exif.get_ifd(0x8769)[0x9003] = "2031:05:04 09:00:00"
    for tag, told in EXIF_TEXTS.items():
        exif.get_ifd(0x8769)[tag] = told.encode() if tag in (0x927C, 0x9286) else told
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (51.0, 30.0, 0.0), "W", (0.0, 7.0, 0.0)
    place[0x1C] = PLACE.encode()
    out = io.BytesIO()
    with Image.open(io.BytesIO(a_jpeg(1_200, 900, seed=7))) as picture:
        picture.save(out, "JPEG", exif=exif, comment=COMMENT.encode(), xmp=f"<x>{XMP}</x>".encode())
    return out.getvalue()


def unpacked(data: bytes, name: str = "") -> Iterator[tuple[str, bytes]]:
    """Yield a file and, where it is a zip file, every member of it, at any depth."""
    yield name, data
    if zipfile.is_zipfile(io.BytesIO(data)):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for member in archive.namelist():
                yield from unpacked(archive.read(member), f"{name}/{member}")


def told_in(data: bytes) -> list[tuple[str, str]]:
    """Return every secret that any part tells, in UTF-8 or UTF-16, with the part's name."""
    return [
        (part, secret)
        for part, content in unpacked(data)
        for secret in SECRETS
        for encoding in ("utf-8", "utf-16-le", "utf-16-be")
        if secret.encode(encoding) in content
    ]


@pytest.fixture
def told(shop: Shell, tmp_path: Path) -> Shell:
    """Return a shop with a marked photo that tells everything and its camera's clock compared."""
    path = tmp_path / "telling.jpg"
    path.write_bytes(a_telling_photo())
    shop.must("add-photo", "R-1", path)
    shop.must(
        *("clock", "R-1", "--camera", f"{MAKE} {MODEL}"),
        *("--shown", "2031-05-04T12:00", "--really", "2031-05-04T13:30+02:00"),
    )
    shop.must(
        *("mark", "R-1", "telling.jpg", "--box", "0.4,0.42,0.5,0.46"),
        *("--component", "wheel_arch_liner", "--damage", "scrape", "--zone", "rear_left"),
    )
    return shop


def test_the_photo_of_this_test_tells_every_secret() -> None:
    assert {secret for _, secret in told_in(a_telling_photo())} == set(SECRETS)


def test_no_part_of_a_word_report_tells_place_or_camera(told: Shell, tmp_path: Path) -> None:
    out = tmp_path / "report.docx"
    told.must("report", "R-1", "-o", out)
    names = [name for name, _ in unpacked(out.read_bytes())]
    assert any(name.startswith("/word/media/") for name in names)
    assert told_in(out.read_bytes()) == []


def test_no_part_of_what_the_insurer_gets_tells_place_or_camera(
    told: Shell, tmp_path: Path
) -> None:
    told.must("report", "R-1", "-o", tmp_path / "report.docx")
    out = tmp_path / "insurer.zip"
    told.must("export", "R-1", "-o", out, "--for-insurer")
    names = [name for name, _ in unpacked(out.read_bytes())]
    assert any(name.startswith("/reports/") and "/word/" in name for name in names)
    assert told_in(out.read_bytes()) == []


def test_cameras_are_numbered_so_that_their_clocks_still_fit(told: Shell, tmp_path: Path) -> None:
    out = tmp_path / "insurer.zip"
    told.must("export", "R-1", "-o", out, "--for-insurer")
    case = json.loads(dict(unpacked(out.read_bytes()))["/case.json"])
    by_name = {photo["file_name"]: photo.get("camera", "") for photo in case["photos"]}
    assert by_name["telling.jpg"] == "camera 1"
    assert [clock["camera"] for clock in case["clocks"]] == ["camera 1"]


def test_the_shops_own_export_keeps_the_camera_and_says_so(told: Shell, tmp_path: Path) -> None:
    out = tmp_path / "own.zip"
    assert "untouched originals" in told.must("export", "R-1", "-o", out).out
    assert {secret for _, secret in told_in(out.read_bytes())} == set(SECRETS)
