"""Orange areas on the demo photos, against the truth of the renderer, and on generated pictures.

The floors are what was measured (docs/explanation/orange-areas.md) less a margin: a change that
makes the proposals worse is seen here.
"""

import numpy as np
import pytest

from tests.unit.imaging.masks import areas_mask, truth_mask, upright_pixels, wider
from tests.unit.imaging.pictures import Pixels, demo_truth
from triage_app.imaging.orange import MAX_AREAS, MAX_POINTS_PER_AREA, orange_areas

OVERVIEW = "01_overview_front_underside.jpg"
SKID_PLATE = "02_skid_plate_closeup.jpg"
CUT_CABLE = "03_cut_hv_cable_burn_mark.jpg"
CROSS_MEMBER = "05_cross_member_bent.jpg"
WITHOUT_ORANGE = (
    "04_drive_unit_mount_bracket.jpg",
    "06_radiator_fan_coolant_leak.jpg",
    "07_battery_floor_scrape.jpg",
    "08_under_shield_broken.jpg",
)


def under_lamp(pixels: Pixels, red: float, blue: float) -> Pixels:
    """Return the photo as a lamp of another colour lights it (gains in linear light)."""
    levels = np.arange(256) / 255
    linear = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    lit = pixels.copy()
    for channel, gain in ((0, red), (2, blue)):
        scaled = np.clip(linear * gain, 0, 1)
        coded = np.where(scaled <= 0.0031308, scaled * 12.92, 1.055 * scaled ** (1 / 2.4) - 0.055)
        lit[..., channel] = np.rint(coded * 255).astype(np.uint8)[pixels[..., channel]]
    return lit


def recall(name: str, component: str, pixels: Pixels | None = None) -> float:
    pixels = upright_pixels(name) if pixels is None else pixels
    height_px, width_px = pixels.shape[:2]
    found = areas_mask(orange_areas(pixels), width_px, height_px)
    return float(found[truth_mask(name, component)].mean())


@pytest.mark.parametrize(
    ("name", "cable", "connector"),
    [(OVERVIEW, 0.78, 0.68), (SKID_PLATE, 0.66, 0.62), (CUT_CABLE, 0.62, 0.66),
     (CROSS_MEMBER, 0.90, 0.92)],
)  # fmt: skip
def test_the_share_of_cable_and_connector_that_is_proposed(
    name: str, cable: float, connector: float
) -> None:
    assert recall(name, "hv_cable") >= cable
    assert recall(name, "hv_connector") >= connector


@pytest.mark.parametrize("name", [OVERVIEW, SKID_PLATE, CUT_CABLE, CROSS_MEMBER])
def test_every_visible_piece_of_cable_or_connector_is_touched(name: str) -> None:
    pixels = upright_pixels(name)
    height_px, width_px = pixels.shape[:2]
    found = areas_mask(orange_areas(pixels), width_px, height_px)
    for component in ("hv_cable", "hv_connector"):
        for outline in demo_truth(name)["components"][component]["polygons_px"]:
            xs, ys = np.array(outline).T
            box = found[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
            assert box.mean() > 0.1, (component, outline[0])


@pytest.mark.parametrize("name", WITHOUT_ORANGE)
def test_no_area_is_proposed_where_there_is_no_hv_part(name: str) -> None:
    assert orange_areas(upright_pixels(name)) == ()


@pytest.mark.parametrize("name", [OVERVIEW, SKID_PLATE, CUT_CABLE, CROSS_MEMBER])
def test_rust_and_the_yellow_label_are_left_out(name: str) -> None:
    pixels = upright_pixels(name)
    height_px, width_px = pixels.shape[:2]
    found = areas_mask(orange_areas(pixels), width_px, height_px)
    label = truth_mask(name, "hv_warning_label")
    assert not found[label].any()
    elsewhere = found & ~wider(truth_mask(name, "hv_cable", "hv_connector"), 6)
    assert elsewhere.mean() <= 0.002


@pytest.mark.parametrize(("red", "blue"), [(1.25, 0.75), (0.8, 1.25)], ids=["warm", "cool"])
@pytest.mark.parametrize("name", [OVERVIEW, SKID_PLATE, CUT_CABLE, CROSS_MEMBER])
def test_a_tinted_lamp_hides_no_cable(name: str, red: float, blue: float) -> None:
    pixels = under_lamp(upright_pixels(name), red, blue)
    assert recall(name, "hv_cable", pixels) >= 0.5
    assert recall(name, "hv_connector", pixels) >= 0.5


def grey_with(colour: tuple[int, int, int], side_px: int = 60) -> Pixels:
    picture = np.full((300, 400, 3), 110, np.uint8)
    picture[100 : 100 + side_px, 100 : 100 + side_px] = colour
    return picture


@pytest.mark.parametrize(
    "colour",
    [(230, 110, 30), (180, 80, 20), (250, 150, 50), (255, 175, 80), (120, 52, 12)],
    ids=["orange", "in shade", "brightly lit", "over-exposed", "in deep shade"],
)
def test_orange_is_proposed_where_it_is(colour: tuple[int, int, int]) -> None:
    (area,) = orange_areas(grey_with(colour))
    found = areas_mask((area,), 400, 300)
    wanted = np.zeros((300, 400), np.bool_)
    wanted[100:160, 100:160] = True
    assert (found & wanted).sum() / (found | wanted).sum() > 0.95


@pytest.mark.parametrize(
    "colour",
    # Label yellow after RAL 1003 in light and shade; sRGB values from memory.
    [(249, 168, 0), (200, 135, 0), (140, 95, 0), (255, 212, 0),
     (120, 75, 50), (210, 200, 40), (200, 30, 40), (60, 70, 180), (40, 140, 60), (215, 175, 150),
     (110, 110, 110), (255, 255, 255), (0, 0, 0)],
    ids=["label", "label in shade", "label in deep shade", "bright label",
         "rust", "yellow", "red", "blue", "green", "skin", "grey", "white", "black"],
)  # fmt: skip
def test_other_colours_are_not_proposed(colour: tuple[int, int, int]) -> None:
    assert orange_areas(grey_with(colour)) == ()


def test_a_close_up_that_is_all_cable_is_proposed_whole() -> None:
    (area,) = orange_areas(np.full((300, 400, 3), (225, 105, 30), np.uint8))
    assert areas_mask((area,), 400, 300).mean() > 0.98


def test_there_are_never_too_many_areas_and_the_largest_are_kept() -> None:
    picture = np.full((600, 800, 3), 110, np.uint8)
    for number in range(48):
        y, x = 20 + 90 * (number // 8), 20 + 95 * (number % 8)
        picture[y : y + 10 + number, x : x + 10 + number] = (230, 110, 30)
    areas = orange_areas(picture)
    assert len(areas) == MAX_AREAS
    found = areas_mask(areas, 800, 600)
    assert found[20 + 90 * 5 + 5, 20 + 95 * 7 + 5]  # the largest
    assert not found[25, 25]  # the smallest


def test_a_ragged_border_is_simplified() -> None:
    random = np.random.default_rng(3)
    picture = np.full((600, 800, 3), 110, np.uint8)
    for x in range(100, 700):
        picture[200 - random.integers(0, 60) : 300 + random.integers(0, 60), x] = (230, 110, 30)
    (area,) = orange_areas(picture)
    assert 3 <= len(area.rings[0]) <= MAX_POINTS_PER_AREA


@pytest.mark.parametrize("shape", [(1, 1), (1, 50), (50, 1), (3, 3), (2, 700)])
def test_tiny_pictures_of_pure_orange_do_no_harm(shape: tuple[int, int]) -> None:
    picture = np.full((*shape, 3), (230, 110, 30), np.uint8)
    assert len(orange_areas(picture)) <= 1
