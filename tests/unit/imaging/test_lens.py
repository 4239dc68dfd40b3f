"""The lens: OpenCV's model forwards and back, and calibrated from photos of the board."""

import numpy as np
import pytest

from tests.card_photos import Phone
from triage_app.domain.errors import InvalidInputError
from triage_app.imaging.card_design import charuco_board
from triage_app.imaging.lens import Lens, calibrate, lens_from_note
from triage_app.imaging.plane_fit import Floats

_CORNERS = np.asarray(charuco_board().getChessboardCorners(), dtype=np.float64)


def _views(
    count: int, *, k1: float, k2: float, noise_px: float, tilt: float = 0.5
) -> list[tuple[Floats, np.ndarray]]:
    random = np.random.default_rng(9)
    views = []
    for _ in range(count):
        phone = Phone(
            rotation=(random.normal(0, tilt), random.normal(0, tilt), random.uniform(-0.3, 0.3)),
            translation_mm=(random.uniform(-110, -60), random.uniform(-140, -90), 330),
            k1=k1,
            k2=k2,
            focal_frac=0.78,
        )
        seen = phone.see(_CORNERS) + random.normal(0, noise_px, (len(_CORNERS), 2))
        inside = ((seen > 0) & (seen < phone.size_px)).all(axis=1)
        views.append((seen[inside], np.flatnonzero(inside)))
    return views


def test_the_lens_bends_points_as_opencv_does_and_unbends_them() -> None:
    lens = Lens(focal_frac=0.78, k1=0.06, k2=-0.03)
    phone = Phone(
        rotation=(0.2, 0.1, 0), translation_mm=(0, 0, 400), focal_frac=0.78, k1=0.06, k2=-0.03
    )
    places = np.column_stack([np.random.default_rng(1).uniform(-150, 150, (40, 2)), np.zeros(40)])
    seen_px = phone.see(places)
    straight = Phone(rotation=(0.2, 0.1, 0), translation_mm=(0, 0, 400), focal_frac=0.78)
    expected = (straight.see(places) - np.array([800, 600])) / (0.78 * 1600)
    assert lens.to_frame(seen_px, (1600, 1200)) == pytest.approx(expected, abs=1e-6)
    assert lens.to_pixels(expected, (1600, 1200)) == pytest.approx(seen_px, abs=1e-3)


def test_a_calibration_finds_the_lens_that_took_the_photos() -> None:
    found = calibrate(_views(9, k1=0.05, k2=-0.02, noise_px=0.2), (1600, 1200))
    assert found.focal_frac == pytest.approx(0.78, rel=0.005)
    assert abs(found.k1 - 0.05) < 2 * found.k1_standard
    assert found.k1_standard < 0.03 / 2
    assert found.miss_px < 0.5
    assert found.photo_count == 9


def test_a_lens_holds_however_the_phone_was_turned() -> None:
    lens = Lens(focal_frac=0.78, k1=0.05)
    upright = np.array([[300.0, 250.0]])
    turned = np.array([[1200.0 - 250.0, 300.0]])  # a quarter turn clockwise
    (x, y), (turned_x, turned_y) = (
        lens.to_frame(upright, (1600, 1200))[0], lens.to_frame(turned, (1200, 1600))[0],
    )  # fmt: skip
    assert (turned_x, turned_y) == pytest.approx((-y, x))


def test_too_few_photos_of_the_board_are_refused() -> None:
    with pytest.raises(InvalidInputError, match="seen well in 5 of 5"):
        calibrate(_views(5, k1=0, k2=0, noise_px=0.1), (1600, 1200))


def test_photos_that_all_look_straight_at_the_board_cannot_tell_the_lens() -> None:
    views = _views(8, k1=0, k2=0, noise_px=0.4, tilt=0.0)
    with pytest.raises(InvalidInputError, match="do not agree on one lens"):
        calibrate(views, (1600, 1200))


@pytest.mark.parametrize(("note", "low", "high"), [(26.0, 0.65, 0.85), (13.0, 0.3, 0.45)])
def test_the_note_of_a_photo_bounds_its_focal_length(note: float, low: float, high: float) -> None:
    lens = lens_from_note(note, (4000, 3000))
    assert low < lens.focal_range[0] < lens.focal_frac < lens.focal_range[1] < high


@pytest.mark.parametrize("note", [None, 0.5, 4000.0])
def test_a_note_that_is_absent_or_absurd_leaves_every_phone_lens_possible(
    note: float | None,
) -> None:
    assert lens_from_note(note, (4000, 3000)) == Lens()
