"""Every kind of pixels that a photo file can hold ends up as plain sRGB."""

import warnings

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms

from tests.unit.imaging.pictures import encoded, four_corners
from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging.decode import decode


def middle(data: bytes, at_least_px: int | None = None) -> tuple[int, ...]:
    pixels = decode(data, at_least_px=at_least_px).pixels
    assert pixels.mode == "RGB"
    assert pixels.info == {}
    value = pixels.getpixel((pixels.width // 2, pixels.height // 2))
    assert isinstance(value, tuple)
    return tuple(int(part) for part in value)


def srgb_profile() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def profile_with_red_and_blue_exchanged() -> bytes:
    return (
        srgb_profile().replace(b"rXYZ", b"????", 1).replace(b"bXYZ", b"rXYZ", 1)
    ).replace(b"????", b"bXYZ", 1)  # fmt: skip


def flat(mode: str, colour: object) -> Image.Image:
    return Image.new(mode, (64, 48), colour)  # type: ignore[arg-type]  # Pillow takes one per mode


def half_clear(mode: str) -> Image.Image:
    return flat("RGBA", (255, 0, 0, 128)).convert(mode)


def grey_16_bit(value: int, dtype: str = "<u2") -> Image.Image:
    return Image.fromarray(np.full((48, 64), value, dtype=dtype))


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        (encoded(flat("RGBA", (10, 200, 30, 0)), "PNG"), (255, 255, 255)),
        (encoded(half_clear("RGBA"), "PNG"), (255, 127, 127)),
        (encoded(half_clear("RGBA"), "WEBP", lossless=True), (255, 127, 127)),
        (encoded(half_clear("RGBA"), "TIFF"), (255, 127, 127)),
        (encoded(half_clear("LA"), "PNG"), (165, 165, 165)),
        (encoded(flat("P", 0), "PNG", transparency=0), (255, 255, 255)),
        (encoded(flat("RGB", (9, 8, 7)), "PNG", transparency=(9, 8, 7)), (255, 255, 255)),
        (encoded(flat("L", 9), "PNG", transparency=9), (255, 255, 255)),
        (encoded(flat("RGB", (12, 34, 56)).quantize(), "PNG"), (12, 34, 56)),
        (encoded(flat("1", 1), "PNG"), (255, 255, 255)),
        (encoded(flat("L", 77), "JPEG"), (77, 77, 77)),
        (encoded(grey_16_bit(0x8012), "PNG"), (128, 128, 128)),
        (encoded(grey_16_bit(0x8012), "TIFF"), (128, 128, 128)),
        (encoded(grey_16_bit(0x8012, ">u2"), "TIFF"), (128, 128, 128)),
        (encoded(flat("CMYK", (0, 255, 255, 0)), "TIFF"), (255, 0, 0)),
        (encoded(flat("YCbCr", (76, 85, 255)), "TIFF"), (254, 0, 0)),
    ],
    ids=[
        "clear", "half clear PNG", "half clear WebP", "half clear TIFF", "grey with alpha",
        "clear palette entry", "clear RGB colour", "clear grey", "palette", "one bit", "grey",
        "16 bit PNG", "16 bit TIFF", "16 bit TIFF, big end first", "CMYK TIFF", "YCbCr TIFF",
    ],
)  # fmt: skip
def test_every_mode_becomes_rgb(data: bytes, wanted: tuple[int, int, int]) -> None:
    assert np.abs(np.subtract(middle(data), wanted)).max() <= 1
    assert np.abs(np.subtract(middle(data, at_least_px=20), wanted)).max() <= 1


def test_sixteen_bit_colour_keeps_its_high_byte() -> None:
    pixels = np.full((48, 64, 3), (0x1034, 0x8012, 0xF0AB), np.uint16)  # blue, green, red
    for kind in (".png", ".tif"):
        written, data = cv2.imencode(kind, pixels)  # Pillow cannot write 16-bit colour
        assert written
        assert np.abs(np.subtract(middle(data.tobytes()), (0xF0, 0x80, 0x10))).max() <= 1


def test_a_cmyk_jpeg_is_not_shown_inverted() -> None:
    red, green, blue = middle(encoded(flat("CMYK", (0, 255, 255, 0)), "JPEG"))
    assert red > 240
    assert max(green, blue) < 15


def test_a_colour_profile_is_applied() -> None:
    data = encoded(
        flat("RGB", (250, 5, 5)), "JPEG", icc_profile=profile_with_red_and_blue_exchanged()
    )
    red, green, blue = middle(data)
    assert blue > 240
    assert max(red, green) < 20


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_the_srgb_profile_changes_nothing(kind: str) -> None:
    with_profile = decode(encoded(four_corners(), kind, icc_profile=srgb_profile()))
    without = decode(encoded(four_corners(), kind))
    gap = np.asarray(with_profile.pixels).astype(int) - np.asarray(without.pixels)
    assert np.abs(gap).max() <= 2


@pytest.mark.parametrize(
    ("picture", "profile"),
    [
        (flat("RGB", (200, 100, 50)), b"no profile at all"),
        (flat("RGB", (200, 100, 50)), srgb_profile()[:300]),
        (flat("RGB", (200, 100, 50)), b"\0" * 5_000),
        (flat("L", 120), srgb_profile()),
        (flat("CMYK", (0, 100, 100, 20)), srgb_profile()),
    ],
    ids=["nonsense", "cut", "zeros", "profile of colour on grey", "profile of RGB on CMYK"],
)
def test_a_profile_that_cannot_be_used_is_passed_over(picture: Image.Image, profile: bytes) -> None:
    assert middle(encoded(picture, icc_profile=profile)) == middle(encoded(picture))


def test_pixels_that_no_camera_writes_are_refused() -> None:
    for odd in (flat("F", 0.5), flat("LAB", (50, 128, 128))):
        with pytest.raises(PhotoRejectedError, match="stores its colours"):
            decode(encoded(odd, "TIFF"))


def test_decoding_lets_no_warning_out() -> None:
    palette = flat("P", 3)
    data = encoded(palette, "PNG", transparency=bytes(range(4)))
    with warnings.catch_warnings(record=True) as seen:
        warnings.simplefilter("always")
        decode(data)
    assert seen == []
