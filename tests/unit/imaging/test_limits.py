"""Bombs, cut files and hostile headers end in one sentence; the allowed size is really allowed."""

import struct
import threading
import time
import zlib
from concurrent.futures import ThreadPoolExecutor

import pytest
from PIL import Image, ImageFile

from tests.unit.imaging.pictures import busy_picture, demo_bytes, encoded, exif, four_corners
from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging import decode as decode_module
from triage_app.imaging.decode import decode
from triage_app.imaging.jpeg_scans import MAX_SCANS


def png_header(width_px: int, height_px: int) -> bytes:
    """Return a PNG that ends after its header: nothing of it can be decoded."""
    header = b"IHDR" + struct.pack(">IIBBBBB", width_px, height_px, 1, 0, 0, 0, 0)
    end = b"IDAT" + zlib.compress(b"")
    chunks = b"".join(
        struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
        for chunk in (header, end)
    )
    return b"\x89PNG\r\n\x1a\n" + chunks


def with_jpeg_size(data: bytes, width_px: int, height_px: int) -> bytes:
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height_px, width_px) + data[at + 4 :]


def with_heic_size(data: bytes, width_px: int, height_px: int) -> bytes:
    at = data.index(b"ispe") + 8
    return data[:at] + struct.pack(">II", width_px, height_px) + data[at + 8 :]


def refusal(data: bytes) -> str:
    with pytest.raises(PhotoRejectedError) as caught:
        decode(data, at_least_px=1_600)
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (png_header(10_000, 6_200), "62 megapixels; at most 60"),
        (png_header(100_000, 100_000), "10000 megapixels; at most 60"),
        (png_header(2**31 - 1, 2**31 - 1), "megapixels; at most 60"),
        (png_header(10_001, 6_000), "60.1 megapixels; at most 60"),
        (png_header(40_000, 20), "40000 x 20 pixels; at most 30000 on a side"),
        (with_jpeg_size(encoded(four_corners()), 65_000, 65_000), "4225 megapixels"),
        (with_heic_size(encoded(four_corners(64, 64), "HEIF"), 9_000, 9_000), "81 megapixels"),
    ],
    ids=["PNG 62 MP", "PNG 10 GP", "PNG largest", "just above", "long strip", "JPEG", "HEIC"],
)
def test_a_bomb_is_refused_from_its_header(
    data: bytes, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def must_not_decode(*_: object) -> None:
        raise AssertionError("pixels were decoded")

    monkeypatch.setattr(decode_module, "_loaded", must_not_decode)
    assert said in refusal(data)


def test_a_webp_and_a_tiff_bomb_are_refused() -> None:
    webp = bytearray(encoded(Image.new("RGBA", (64, 64), "#11223344"), "WEBP", lossless=True))
    canvas = webp.index(b"VP8X") + 12 if b"VP8X" in webp else None
    if canvas is None:  # a simple file has no canvas header: give it one
        extended = b"VP8X" + struct.pack("<I", 10) + b"\x10\0\0\0" + b"\xfe\x3f\0" * 2
        webp[12:12] = extended
        webp[4:8] = struct.pack("<I", len(webp) - 8)
    else:
        webp[canvas : canvas + 6] = b"\xfe\x3f\0" * 2
    assert "megapixels" in refusal(bytes(webp))

    tiff = encoded(Image.new("1", (64, 64)), "TIFF")
    grown = tiff.replace(
        struct.pack("<HHIHH", 256, 3, 1, 64, 0), struct.pack("<HHII", 256, 4, 1, 60_000)
    ).replace(struct.pack("<HHIHH", 257, 3, 1, 64, 0), struct.pack("<HHII", 257, 4, 1, 60_000))
    grown = grown.replace(
        struct.pack("<HHII", 256, 4, 1, 64), struct.pack("<HHII", 256, 4, 1, 60_000)
    ).replace(struct.pack("<HHII", 257, 4, 1, 64), struct.pack("<HHII", 257, 4, 1, 60_000))
    assert grown != tiff
    assert "3600 megapixels" in refusal(grown)


def test_sixty_megapixels_are_taken() -> None:
    seen = decode(encoded(Image.new("L", (10_000, 6_000), 90)), at_least_px=1_000)
    assert (seen.width_px, seen.height_px) == (10_000, 6_000)
    assert max(seen.pixels.size) < 2_000


def test_a_jpeg_with_thousands_of_scans_is_refused_and_a_progressive_one_taken() -> None:
    picture = busy_picture(96, 64)
    progressive = encoded(picture, progressive=True)
    assert decode(progressive).pixels.size == (96, 64)
    last_scan = progressive.rindex(b"\xff\xda")
    scan = progressive[last_scan:-2]
    assert f"more than {MAX_SCANS} layers" in refusal(progressive[:-2] + scan * 2_000 + b"\xff\xd9")


@pytest.mark.parametrize("kind", ["JPEG", "progressive", "PNG", "WEBP", "TIFF", "HEIF"])
def test_a_cut_file_is_refused_wherever_it_is_cut(kind: str) -> None:
    picture = busy_picture(320, 240)
    if kind == "progressive":
        data = encoded(picture, progressive=True, exif=exif(6))
    else:
        data = encoded(picture, kind, exif=exif(6))
    # The last bytes of a file may be an end mark that holds no pixel.
    for cut in [*range(60), *range(60, len(data) - 32, max(1, len(data) // 150))]:
        sentence = refusal(data[:cut])
        assert sentence.endswith(".")


def test_the_cut_demo_photos_are_refused() -> None:
    for name in ("02_skid_plate_closeup.jpg", "07_battery_floor_scrape.heic"):
        data = demo_bytes(name)
        for tenth in range(1, 10):
            assert "damaged or cut off" in refusal(data[: len(data) * tenth // 10])


def test_no_setting_of_pillow_is_changed() -> None:
    limit = Image.MAX_IMAGE_PIXELS
    openers = set(Image.OPEN)
    decode(demo_bytes("07_battery_floor_scrape.heic"), at_least_px=400)
    refusal(png_header(100_000, 100_000))
    assert ImageFile.LOAD_TRUNCATED_IMAGES is False
    assert limit == Image.MAX_IMAGE_PIXELS
    assert set(Image.OPEN) == openers


def test_only_so_many_decodes_run_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    lock, inside, seen = threading.Lock(), 0, []
    really_loaded = decode_module._loaded

    def counted(image: ImageFile.ImageFile, at_least_px: int | None) -> tuple[int, int]:
        nonlocal inside
        with lock:
            inside += 1
            seen.append(inside)
        time.sleep(0.02)  # long enough for the other threads to come in, if they may
        size = really_loaded(image, at_least_px)
        with lock:
            inside -= 1
        return size

    monkeypatch.setattr(decode_module, "_loaded", counted)
    monkeypatch.setattr(decode_module, "_decode_slots", threading.BoundedSemaphore(2))
    data = encoded(four_corners())
    with ThreadPoolExecutor(8) as pool:
        sizes = {photo.pixels.size for photo in pool.map(decode, [data] * 24)}
    assert sizes == {(96, 64)}
    assert len(seen) == 24
    assert max(seen) == 2
