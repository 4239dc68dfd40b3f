"""What is taken as a photo and what is refused, by content and never by name."""

import zipfile
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.unit.imaging.pictures import (
    BLUE,
    GREEN,
    RED,
    YELLOW,
    encoded,
    exif,
    four_corners,
    quarters_of,
)
from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging.decode import decode


def refusal(data: bytes) -> str:
    with pytest.raises(PhotoRejectedError) as caught:
        decode(data)
    return str(caught.value)


@pytest.mark.parametrize(
    ("kind", "media_type"),
    [
        ("JPEG", "image/jpeg"),
        ("PNG", "image/png"),
        ("WEBP", "image/webp"),
        ("TIFF", "image/tiff"),
        ("HEIF", "image/heic"),
    ],
)
def test_each_format_is_told_by_its_content(kind: str, media_type: str) -> None:
    seen = decode(encoded(four_corners(), kind))
    assert seen.media_type == media_type
    assert (seen.width_px, seen.height_px) == seen.pixels.size == (96, 64)
    assert seen.pixels.mode == "RGB"


def _a_zip() -> bytes:
    target = BytesIO()
    with zipfile.ZipFile(target, "w") as archive:
        archive.writestr("photo.jpg", encoded(four_corners()))
    return target.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty."),
        (b"\0", "not a photo that can be read"),
        (b"just some text, named photo.jpg", "not a photo that can be read"),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "a PDF, not a photo"),
        (b'\xef\xbb\xbf  <svg xmlns="http://www.w3.org/2000/svg"/>', "an SVG drawing"),
        (b'<?xml version="1.0"?><svg/>', "an XML file"),
        (encoded(four_corners(), "GIF"), "a GIF"),
        (encoded(four_corners(), "BMP"), "a BMP"),
        (encoded(four_corners(), "AVIF"), "a video or a kind of picture"),
        (b"\0\0\0\x18ftypqt  \0\0\0\0", "a video or a kind of picture"),
        (encoded(four_corners(), "JPEG2000"), "not a photo that can be read"),
        (_a_zip(), "a ZIP archive"),
    ],
    ids=[
        "empty", "zero byte", "text", "PDF", "SVG", "XML", "GIF", "BMP", "AVIF", "film",
        "JPEG 2000", "ZIP",
    ],
)  # fmt: skip
def test_what_is_no_photo_gets_one_clear_sentence(data: bytes, said: str) -> None:
    sentence = refusal(data)
    assert said in sentence
    assert sentence.endswith(".")
    assert "\n" not in sentence


def test_a_raw_file_is_refused_because_its_first_picture_is_a_thumbnail() -> None:
    raw = encoded(four_corners(), "TIFF", tiffinfo={50706: b"\x01\x04\x00\x00"})
    assert "raw camera file" in refusal(raw)


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "WEBP", "MPO"])
def test_of_several_pictures_the_first_is_taken(kind: str) -> None:
    first = Image.fromarray(four_corners())
    others = [Image.new("RGB", first.size, colour) for colour in ("white", "black")]
    seen = decode(encoded(first, kind, save_all=True, append_images=others))
    assert seen.pixels.size == (96, 64)
    for found, wanted in zip(quarters_of(seen.pixels), (RED, GREEN, BLUE, YELLOW), strict=True):
        assert np.abs(np.subtract(found, wanted)).max() <= 16


def test_an_mpo_photo_is_a_jpeg_with_more_behind_it() -> None:
    first = Image.fromarray(four_corners())
    seen = decode(encoded(first, "MPO", save_all=True, append_images=[first], exif=exif(6)))
    assert seen.media_type == "image/jpeg"
    assert (seen.width_px, seen.height_px) == (64, 96)


def test_a_broken_index_of_an_mpo_photo_does_not_matter() -> None:
    first = Image.fromarray(four_corners())
    data = encoded(first, "MPO", save_all=True, append_images=[first])
    at = data.index(b"MPF\0") + 4
    broken = data[:at] + b"\xff" * 40 + data[at + 40 :]
    assert decode(broken).pixels.size == (96, 64)


def test_only_the_photo_in_a_file_of_two_kinds_counts() -> None:
    page = b"<script>alert(1)</script><?php system('id'); ?>"
    plain = encoded(four_corners())
    seen, hidden = decode(plain), decode(plain + page + _a_zip())
    assert hidden.media_type == "image/jpeg"
    assert hidden.pixels.tobytes() == seen.pixels.tobytes()
    assert "a ZIP archive" in refusal(_a_zip() + plain)
