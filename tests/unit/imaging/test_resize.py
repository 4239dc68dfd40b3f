"""Copies for screens and reports: upright, small enough, and silent about place and camera."""

import hashlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.unit.imaging.pictures import (
    BLUE,
    DEMO_PHOTOS,
    GREEN,
    RED,
    YELLOW,
    busy_picture,
    demo_bytes,
    demo_truth,
    encoded,
    exif,
    four_corners,
    quarters_of,
)
from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging.decode import decode
from triage_app.imaging.reading import read_photo
from triage_app.imaging.resize import upright_jpeg


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data), formats=["JPEG"])
    image.load()
    return image


def segments(data: bytes) -> set[int]:
    """Return the application (APPn) and comment markers of a JPEG."""
    found, at = set(), 2
    while data[at + 1] != 0xDA:
        found.add(data[at + 1])
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return {marker for marker in found if 0xE0 <= marker <= 0xEF or marker == 0xFE}


def test_the_copy_of_the_photo_with_gps_holds_no_metadata() -> None:
    original = demo_bytes("01_overview_front_underside.jpg")
    assert Image.open(BytesIO(original)).getexif().get_ifd(0x8825)  # it is there to be dropped
    for side_px in (None, 600):
        copy = upright_jpeg(original, longest_side_px=side_px)
        assert segments(copy) == {0xE0}  # JFIF only: no EXIF, XMP, ICC, maker's notes, comment
        assert not opened(copy).getexif()
        assert b"Render" not in copy


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_no_copy_of_any_format_holds_metadata(kind: str) -> None:
    tags = exif(1, "2031:03:14 09:05:12")
    tags[0x010F] = "SECRETMAKER"
    tags.get_ifd(0x8825)[2] = (1.0, 2.0, 3.0)
    options = {"comment": b"SECRETCOMMENT"} if kind == "JPEG" else {}
    data = encoded(four_corners(), kind, exif=tags, **options)
    assert b"SECRET" in data
    copy = upright_jpeg(data, longest_side_px=None)
    assert segments(copy) == {0xE0}
    assert b"SECRET" not in copy


@pytest.mark.parametrize("name", DEMO_PHOTOS)
def test_a_copy_has_the_shape_of_the_upright_photo(name: str) -> None:
    width_px, height_px = demo_truth(name)["image_size_px"]
    full = opened(upright_jpeg(demo_bytes(name), longest_side_px=None))
    assert full.size == (width_px, height_px)
    small = opened(upright_jpeg(demo_bytes(name), longest_side_px=500))
    assert max(small.size) == 500
    assert small.width / small.height == pytest.approx(width_px / height_px, rel=0.005)


def test_the_original_bytes_stay_as_they_were() -> None:
    for name in (DEMO_PHOTOS[3], "07_battery_floor_scrape.heic"):
        data = bytes(bytearray(demo_bytes(name)))
        before = hashlib.sha256(data).hexdigest()
        decode(data)
        read_photo(data)
        upright_jpeg(data, longest_side_px=300)
        assert hashlib.sha256(data).hexdigest() == before


def test_a_copy_is_upright() -> None:
    sideways = np.rot90(four_corners(), 1)  # the camera lay on its side: orientation 6
    copy = opened(
        upright_jpeg(encoded(np.ascontiguousarray(sideways), exif=exif(6)), longest_side_px=48)
    )
    assert copy.size == (48, 32)
    for found, wanted in zip(quarters_of(copy), (RED, GREEN, BLUE, YELLOW), strict=True):
        assert np.abs(np.subtract(found, wanted)).max() <= 16


def test_a_small_photo_is_not_enlarged() -> None:
    assert opened(upright_jpeg(encoded(four_corners()), longest_side_px=2_048)).size == (96, 64)


def test_a_very_long_photo_keeps_a_pixel_of_height() -> None:
    strip = encoded(Image.new("RGB", (3_000, 2)), "PNG")
    assert opened(upright_jpeg(strip, longest_side_px=100)).size == (100, 1)


@pytest.mark.parametrize(
    ("side_px", "decoded_px"), [(900, 900), (450, 450), (225, 225), (120, 225)]
)
def test_decoding_at_a_smaller_scale_shows_the_same_picture(side_px: int, decoded_px: int) -> None:
    data = encoded(busy_picture(1_800, 1_200))
    quick = decode(data, at_least_px=side_px).pixels
    assert quick.width == decoded_px
    whole = decode(data).pixels.resize(quick.size, Image.Resampling.BOX)
    gap = np.asarray(quick).astype(int) - np.asarray(whole)
    assert np.abs(gap).mean() < 4


@pytest.mark.parametrize("side_px", [0, -5])
def test_a_side_without_length_is_a_mistake_of_the_caller(side_px: int) -> None:
    with pytest.raises(ValueError, match="longest_side_px"):
        upright_jpeg(encoded(four_corners()), longest_side_px=side_px)


def test_what_is_no_photo_is_refused_here_too() -> None:
    with pytest.raises(PhotoRejectedError):
        upright_jpeg(b"not a photo", longest_side_px=100)
