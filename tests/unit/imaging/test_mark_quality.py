"""What is said of the damage itself; photographs come out of scikit-image's package.

The degradations are computed and are the ground truth; docs/explanation/photo-quality.md has the
whole table, misses included.
"""

import numpy as np
import pytest

from tests.orange.halves import HELD_BACK, TUNE
from tests.unit.imaging.masks import upright_pixels
from tests.unit.imaging.pictures import Pixels, demo_truth
from tests.unit.imaging.test_quality import GOOD, lit, shaken, softened
from triage_app.domain.geometry import Outline, rectangle
from triage_app.imaging.mark_quality import MIN_MARK_PX, judge_mark

MIDDLE = rectangle(0.3, 0.3, 0.7, 0.7)


def damages(name: str) -> list[Outline]:
    """Return the box of every damage of a demo photo that is large enough to be judged."""
    truth = demo_truth(name)
    width_px, height_px = truth["image_size_px"]
    boxes: list[Outline] = []
    for damage in truth["damages"].values():
        xs, ys = np.array(damage["polygons_px"][0]).T
        if max(np.ptp(xs), np.ptp(ys)) >= MIN_MARK_PX:
            right, bottom = min(xs.max() + 1, width_px), min(ys.max() + 1, height_px)
            boxes.append(
                rectangle(
                    xs.min() / width_px, ys.min() / height_px, right / width_px, bottom / height_px
                )
            )
    return boxes


def said(pixels: Pixels, outline: Outline = MIDDLE) -> str:
    return " ".join(judge_mark(pixels, outline).complaints)


def photograph(name: str) -> Pixels:
    both = (*TUNE.photographs(), *HELD_BACK.photographs())
    return next(scene.pixels for scene in both if scene.name == f"skimage {name}")


@pytest.mark.parametrize("name", GOOD)
def test_no_damage_of_a_good_demo_photo_is_asked_for_again(name: str) -> None:
    for outline in damages(name):
        assert said(upright_pixels(name), outline) == ""


@pytest.mark.parametrize("name", ["chelsea", "coffee", "motorcycle_left"])
def test_a_photograph_is_sharp_until_it_is_blurred(name: str) -> None:
    pixels = photograph(name)
    assert "blurred" not in said(pixels)
    assert "blurred" in said(softened(pixels, 3.5))


def test_blur_is_seen_where_the_mark_is_and_nowhere_else() -> None:
    """Focus on the lift and not on the damage: the whole photo counts as sharp, the mark not."""
    pixels = upright_pixels(GOOD[0]).copy()
    height, width = pixels.shape[:2]
    here = (slice(height // 4, 3 * height // 4), slice(width // 4, width // 2))
    pixels[here] = softened(pixels, 4)[here]
    assert "blurred" in said(pixels, rectangle(0.28, 0.3, 0.46, 0.7))
    assert "blurred" not in said(pixels, rectangle(0.55, 0.3, 0.95, 0.7))


@pytest.mark.parametrize("name", GOOD[:4])
def test_a_shaken_damage_is_seen(name: str) -> None:
    assert "blurred" in said(shaken(upright_pixels(name), 20, 30))


@pytest.mark.parametrize(("stops", "word"), [(-6, "too dark"), (4, "glare")])
def test_light_is_judged_at_the_mark(stops: float, word: str) -> None:
    assert word in said(lit(upright_pixels("07_battery_floor_scrape.jpg"), stops))


def test_a_damage_of_few_pixels_needs_a_close_up() -> None:
    quality = judge_mark(upright_pixels(GOOD[0]), rectangle(0.5, 0.5, 0.53, 0.53))
    assert quality.longest_side_px == 48
    assert "only 48 pixels long" in quality.complaints[0]


def test_where_no_edge_is_nothing_is_said_of_blur() -> None:
    quality = judge_mark(np.full((900, 1_200, 3), 120, np.uint8), MIDDLE)
    assert quality.blur_px is None
    assert quality.complaints == ()


@pytest.mark.parametrize("size", [(1, 1), (1, 90), (90, 1)])
def test_tiny_photos_do_no_harm(size: tuple[int, int]) -> None:
    assert judge_mark(np.zeros((*size, 3), np.uint8), rectangle(0.0, 0.0, 1.0, 1.0)).complaints
