"""The scale marker: found where it is, with corners as good as the photo allows."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from tests.unit.imaging.pictures import DEMO_PHOTOS, Pixels, demo_bytes, demo_truth, encoded, exif
from triage_app.imaging.reading import PhotoReading, read_photo
from triage_app.imaging.scale import ScaleMarker, find_scale_markers

WITH_CARD = [name for name in DEMO_PHOTOS if name[:2] in ("03", "05", "07")]


def corners_px(marker: ScaleMarker, reading: PhotoReading) -> np.ndarray:
    size = (reading.width_px, reading.height_px)
    return np.array([(c.x_frac, c.y_frac) for c in marker.corners]) * size


def with_marker(marker_id: int, side_px: int, at: tuple[int, int], size: tuple[int, int]) -> Pixels:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    drawn = cv2.aruco.generateImageMarker(dictionary, marker_id, side_px)
    picture = np.full((size[1], size[0], 3), 235, np.uint8)
    picture[at[1] : at[1] + side_px, at[0] : at[0] + side_px] = drawn[..., None]
    return picture


@pytest.mark.parametrize("name", WITH_CARD)
def test_the_card_is_found_where_the_renderer_put_it(name: str) -> None:
    reading = read_photo(demo_bytes(name))
    (marker,) = reading.scale_markers
    truth = demo_truth(name)["scale_card"]
    # The truth counts from the middle of the first pixel, outlines from its edge.
    wanted = np.array(truth["marker_corners_px_tl_tr_br_bl"]) + 0.5
    assert marker.id == truth["aruco_id"] == 7
    off_px = np.linalg.norm(corners_px(marker, reading) - wanted, axis=1)
    # Tone, bloom and sharpening shrink the black square by about 0.5 px on every side.
    assert off_px.max() < 1.4
    true_side_px = np.mean([np.linalg.norm(a - b) for a, b in pairwise([*wanted, wanted[0]])])
    assert marker.side_px == pytest.approx(true_side_px, rel=0.012)


@pytest.mark.parametrize("name", [name for name in DEMO_PHOTOS if name not in WITH_CARD])
def test_no_card_is_found_where_there_is_none(name: str) -> None:
    assert read_photo(demo_bytes(name)).scale_markers == ()


def test_corners_are_fractions_of_the_whole_upright_photo() -> None:
    upright = with_marker(23, 600, (500, 900), (4_000, 3_000))
    sideways = np.ascontiguousarray(np.rot90(upright))
    reading = read_photo(encoded(sideways, exif=exif(6)))
    (marker,) = reading.scale_markers
    assert (reading.width_px, reading.height_px) == (4_000, 3_000)
    assert marker.id == 23
    wanted = [(500, 900), (1_100, 900), (1_100, 1_500), (500, 1_500)]
    assert np.abs(corners_px(marker, reading) - wanted).max() < 2.5
    assert marker.side_px == pytest.approx(600, rel=0.005)


def test_several_cards_come_in_order_of_their_numbers() -> None:
    picture = with_marker(31, 200, (100, 100), (1_200, 800))
    other = with_marker(4, 200, (100, 100), (1_200, 800))[60:340, 60:340]
    picture[400:680, 700:980] = other
    assert [m.id for m in find_scale_markers(picture, width_px=1_200, height_px=800)] == [4, 31]
