"""EXIF gives the time and the way up, or nothing; it never costs a photo."""

import struct
import threading
import warnings
from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.unit.imaging.pictures import DEMO_PHOTOS, demo_bytes, encoded, exif, four_corners
from triage_app.imaging.decode import decode
from triage_app.imaging.quiet import QuietPillow


def taken(**tags: str) -> datetime | None:
    return decode(encoded(four_corners(), exif=exif(None, **tags))).taken_at


def jpeg_with(exif_payload: bytes) -> bytes:
    """Return a JPEG whose EXIF segment holds exactly these bytes."""
    plain = encoded(four_corners())
    body = b"Exif\0\0" + exif_payload
    return plain[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + plain[2:]


def test_the_time_is_the_cameras_own_without_a_zone() -> None:
    assert taken(taken="2031:03:14 09:05:12") == datetime(2031, 3, 14, 9, 5, 12)  # noqa: DTZ001


@pytest.mark.parametrize(
    ("subsec", "microsecond"),
    [("5", 500_000), ("052", 52_000), ("123456789", 123_456), ("x", 0), ("-1", 0), ("²", 0)],
)  # fmt: skip
def test_the_fraction_of_a_second_is_taken_where_it_is_a_number(
    subsec: str, microsecond: int
) -> None:
    seen = taken(taken="2031:03:14 09:05:12", subsec=subsec)
    assert seen is not None
    assert seen.microsecond == microsecond


@pytest.mark.parametrize(
    "written",
    [
        "0000:00:00 00:00:00", "    :  :     :  :  ", "2031:02:30 10:00:00", "2031:13:01 10:00:00",
        "2031:03:14 24:00:00", "2031:03:14 10:00:60",
        "yesterday", "2031-03-14", "", "٢٠٣١:03:14 09:05:12",
    ],
)  # fmt: skip
def test_a_time_that_cannot_be_is_no_time(written: str) -> None:
    assert taken(taken=written) is None


def test_a_photo_without_exif_has_no_time() -> None:
    for kind in ("JPEG", "PNG", "WEBP", "TIFF", "HEIF"):
        assert decode(encoded(four_corners(), kind)).taken_at is None


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_the_time_is_read_from_every_format(kind: str) -> None:
    data = encoded(four_corners(), kind, exif=exif(6, "2031:03:14 09:05:12"))
    seen = decode(data)
    assert seen.taken_at == datetime(2031, 3, 14, 9, 5, 12)  # noqa: DTZ001
    assert (seen.width_px, seen.height_px) == (64, 96)


@pytest.mark.parametrize("name", DEMO_PHOTOS)
def test_every_demo_photo_tells_its_time(name: str) -> None:
    seen = decode(demo_bytes(name), at_least_px=200).taken_at
    assert seen is not None
    assert seen.strftime("%Y-%m-%d") == "2031-03-14"


def _entry(tag: int, kind: int, count: int, value: int) -> bytes:
    return struct.pack("<HHII", tag, kind, count, value)


def _ifd(*entries: bytes, following: int = 0) -> bytes:
    listed = struct.pack("<H", len(entries)) + b"".join(entries) + struct.pack("<I", following)
    return b"II*\0\x08\0\0\0" + listed


HOSTILE = {
    "nothing": b"",
    "cut header": b"II*",
    "no TIFF": b"\xde\xad\xbe\xef" * 8,
    "first list far outside": b"II*\0\xff\xff\xff\xff",
    "list that follows itself": _ifd(_entry(0x0112, 3, 1, 1), following=8),
    "EXIF list is the first list": _ifd(_entry(0x8769, 4, 1, 8)),
    "GPS list outside": _ifd(_entry(0x8825, 4, 1, 2**32 - 1)),
    "four thousand million values": _ifd(_entry(0x010F, 2, 2**32 - 1, 8)),
    "unknown kind of value": _ifd(_entry(0x0112, 200, 1, 6)),
    "orientation as text": _ifd(_entry(0x0112, 2, 4, 0x00363636)),
    "orientation as zero over zero": _ifd(_entry(0x0112, 5, 1, 8)),
    "many orientations": _ifd(_entry(0x0112, 3, 900, 8)),
    "promised 65535 entries": b"II*\0\x08\0\0\0\xff\xff" + _entry(0x0112, 3, 1, 6),
    "time as a number": _ifd(_entry(0x8769, 4, 1, 26))
    + struct.pack("<H", 1)
    + _entry(0x9003, 4, 1, 7)
    + b"\0" * 4,
}


@pytest.mark.parametrize("payload", HOSTILE.values(), ids=HOSTILE.keys())
def test_broken_exif_never_costs_a_photo(payload: bytes) -> None:
    seen = decode(jpeg_with(payload))
    assert {seen.width_px, seen.height_px} == {96, 64}
    assert seen.taken_at is None


@pytest.mark.parametrize("payload", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_broken_exif_costs_no_photo_of_another_format(kind: str, payload: bytes) -> None:
    data = encoded(four_corners(), kind, exif=b"Exif\0\0" + payload)
    assert {decode(data).width_px, decode(data).height_px} == {96, 64}


def test_broken_exif_costs_no_tiff() -> None:
    data = encoded(four_corners(), "TIFF", exif=exif(1, "2031:03:14 09:05:12"))
    at = data.index(struct.pack("<HHI", 0x8769, 4, 1)) + 8
    for pointer in (0, 8, len(data) - 3, 2**32 - 1):
        seen = decode(data[:at] + struct.pack("<I", pointer) + data[at + 4 :])
        assert (seen.width_px, seen.height_px) == (96, 64)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_change_inside_exif_keeps_the_photo(data: st.DataObject) -> None:
    payload = bytearray(exif(6, "2031:03:14 09:05:12", subsec="12").tobytes()[6:])
    for _ in range(data.draw(st.integers(1, 12))):
        payload[data.draw(st.integers(0, len(payload) - 1))] = data.draw(st.integers(0, 255))
    seen = decode(jpeg_with(bytes(payload)))
    assert {seen.width_px, seen.height_px} == {96, 64}


def test_warnings_are_as_before_after_decodes_in_parallel() -> None:
    before = list(warnings.filters)
    broken = jpeg_with(HOSTILE["four thousand million values"])
    threads = [
        threading.Thread(target=lambda: [decode(broken) for _ in range(20)]) for _ in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert list(warnings.filters) == before


def test_only_the_warnings_of_the_photo_library_are_kept_quiet() -> None:
    with QuietPillow()(), pytest.warns(UserWarning, match="ours"):
        warnings.warn("ours", stacklevel=1)


def test_the_smallest_photos_are_decoded() -> None:
    for size in ((1, 1), (1, 40), (40, 1)):
        seen = decode(encoded(Image.new("RGB", size), exif=exif(6)), at_least_px=1_600)
        assert (seen.height_px, seen.width_px) == size
