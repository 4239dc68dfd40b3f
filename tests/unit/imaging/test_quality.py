"""Which photos are asked for again. The verdicts on the demo photos are the renderer's truth."""

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.unit.imaging.masks import upright_pixels
from tests.unit.imaging.pictures import (
    DEMO_PHOTOS,
    Pixels,
    busy_picture,
    demo_bytes,
    demo_truth,
    encoded,
)
from triage_app.imaging.quality import judge_quality
from triage_app.imaging.reading import read_photo

GOOD = [name for name in DEMO_PHOTOS if name.endswith(".jpg") and name < "09"]


def complaints(pixels: Pixels) -> str:
    return " ".join(judge_quality(pixels, longest_side_px=4_032).complaints)


def shaken(pixels: Pixels, length_px: int, angle_deg: float) -> Pixels:
    """Return the photo as if the camera had moved this far along a line."""
    size = 2 * length_px + 1
    path = np.zeros((size * 8, size * 8), np.float32)
    middle, half = size * 4, length_px * 4
    dx, dy = np.cos(np.radians(angle_deg)) * half, np.sin(np.radians(angle_deg)) * half
    ends = [(round(middle + sign * dx), round(middle + sign * dy)) for sign in (-1, 1)]
    cv2.line(path, ends[0], ends[1], 1.0, 8)
    kernel = cv2.resize(path, (size, size), interpolation=cv2.INTER_AREA)
    return cv2.filter2D(pixels, -1, kernel / kernel.sum()).astype(np.uint8)


def softened(pixels: Pixels, sigma_px: float) -> Pixels:
    return cv2.GaussianBlur(pixels, (0, 0), sigma_px).astype(np.uint8)


def lit(pixels: Pixels, stops: float) -> Pixels:
    linear = (np.arange(256) / 255) ** 2.2 * 2**stops
    level = np.rint(np.clip(linear, 0, 1) ** (1 / 2.2) * 255).astype(np.uint8)
    return cv2.LUT(pixels, level).astype(np.uint8)


@pytest.mark.parametrize("name", DEMO_PHOTOS)
def test_the_two_bad_demo_photos_are_asked_for_again_and_no_other(name: str) -> None:
    expected = {"09": "blurred", "10": "too dark"}.get(name[:2])
    said = read_photo(demo_bytes(name)).quality.complaints
    if expected is None:
        assert said == ()
    else:
        assert len(said) == 1
        assert expected in said[0]
        assert "expected" in demo_truth(name)  # the renderer says that it is to be rejected


@pytest.mark.parametrize("name", GOOD)
def test_soft_photos_are_found_whatever_they_show(name: str) -> None:
    pixels = upright_pixels(name)
    assert "blurred" not in complaints(softened(pixels, 1.0))
    assert "blurred" in complaints(softened(pixels, 2.5))


@pytest.mark.parametrize("angle_deg", [0, 60, 120])
@pytest.mark.parametrize("name", GOOD)
def test_shaken_photos_are_found_in_every_direction(name: str, angle_deg: float) -> None:
    assert "blurred" in complaints(shaken(upright_pixels(name), 16, angle_deg))


@pytest.mark.parametrize("name", GOOD)
def test_noise_makes_no_photo_sharp(name: str) -> None:
    random = np.random.default_rng(5)
    soft = softened(upright_pixels(name), 2.5)
    noisy = np.clip(soft + random.normal(0, 8, soft.shape), 0, 255).astype(np.uint8)
    assert "blurred" in complaints(noisy)


@pytest.mark.parametrize("name", GOOD)
def test_a_soft_background_is_no_fault(name: str) -> None:
    pixels = upright_pixels(name)
    height_px, width_px = pixels.shape[:2]
    y, x = np.mgrid[:height_px, :width_px]
    near = np.hypot((x / width_px - 0.5) / 0.3, (y / height_px - 0.5) / 0.3) < 1
    mixed = np.where(near[..., None], pixels, softened(pixels, 5))
    assert "blurred" not in complaints(mixed)


@pytest.mark.parametrize("name", GOOD)
def test_the_exposure_is_judged(name: str) -> None:
    pixels = upright_pixels(name)
    for stops in (-2, 1):
        assert complaints(lit(pixels, stops)) == ""
    assert "too dark" in complaints(lit(pixels, -5))
    assert "too bright" in complaints(lit(pixels, 3))


def test_a_covered_lens_shows_no_detail() -> None:
    quality = judge_quality(np.full((900, 1200, 3), 120, np.uint8), longest_side_px=1_200)
    assert quality.sharpness == 0
    assert "no detail" in " ".join(quality.complaints)


def test_a_copy_from_a_chat_is_told_by_its_size() -> None:
    small = read_photo(encoded(busy_picture(800, 600))).quality
    assert "only 800 pixels long" in " ".join(small.complaints)
    large = read_photo(encoded(busy_picture(1_200, 900))).quality
    assert large.complaints == ()


def test_the_measures_are_fractions() -> None:
    half = np.zeros((200, 200, 3), np.uint8)
    half[:, 100:] = 255
    quality = judge_quality(half, longest_side_px=4_000)
    assert quality.mean_brightness == pytest.approx(0.5, abs=0.001)
    assert quality.clipped_dark_frac == quality.clipped_bright_frac == 0.5


@pytest.mark.parametrize("size", [(1, 1), (1, 90), (90, 1), (5, 4)])
def test_tiny_pictures_are_judged_without_harm(size: tuple[int, int]) -> None:
    assert read_photo(encoded(Image.new("RGB", size), "PNG")).quality.complaints
