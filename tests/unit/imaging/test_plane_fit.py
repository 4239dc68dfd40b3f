"""The fit of a plane: its slopes, OpenCV as the reference, and whether its uncertainty holds."""

import cv2
import numpy as np
import pytest

from tests.card_photos import Phone
from triage_app.imaging.lens import Lens
from triage_app.imaging.plane import Plane, camera_over, versions
from triage_app.imaging.plane_fit import Floats, Priors, Sightings, fit_plane, placed
from triage_app.imaging.plane_sizes import Depth, distance

_SQUARE = np.array([[-30, -30], [30, -30], [30, 30], [-30, 30]], dtype=np.float64)
_PRIORS = Priors(shift=0.0, shift_standard=1.0, distortion_standard=1e-7, size_standard=0.01)
_FLAT = Depth(behind_mm=0)


def _sightings(at_mm: Floats, seen: Floats, standard: float) -> Sightings:
    """Each point as two sightings, across and down."""
    return Sightings(
        at_mm=np.repeat(at_mm, 2, axis=0),
        seen=np.repeat(seen, 2, axis=0),
        along=np.tile(np.eye(2), (len(seen), 1)),
        to_white=np.zeros(2 * len(seen)),
        standard=np.full(2 * len(seen), standard),
    )


def _start(at_mm: Floats, seen: Floats) -> Floats:
    to_photo, _ = cv2.findHomography(at_mm, seen, 0)
    return np.append((np.asarray(to_photo) / to_photo[2, 2]).ravel()[:8], [0.0, 0.0])


def _phone(random: np.random.Generator, k1: float = 0.0) -> Phone:
    tilt = np.clip(random.normal(0, 0.4, 2), -0.7, 0.7)
    return Phone(
        rotation=(tilt[0], tilt[1], random.uniform(-3, 3)),
        translation_mm=(random.uniform(-50, 50), random.uniform(-50, 50), random.uniform(350, 700)),
        k1=k1,
    )


def _flat(points_mm: Floats) -> Floats:
    return np.column_stack([points_mm, np.zeros(len(points_mm))])


def _plane(phone: Phone, corners_px: Floats, *, noise_px: float, k1_standard: float) -> Plane:
    lens = Lens(focal_frac=phone.focal_frac, k1_standard=k1_standard)
    seen = lens.to_frame(corners_px, phone.size_px)
    fit = fit_plane(
        [_sightings(_SQUARE, seen, noise_px / lens.focal_px(phone.size_px))],
        _start(_SQUARE, seen),
        Priors(shift=0.0, shift_standard=1.0, distortion_standard=k1_standard, size_standard=0.01),
    )
    kept = [*range(8), 9]
    to_plane, distortion, size = versions(
        fit.values[kept], fit.covariance[np.ix_(kept, kept)], size_standard=1e-9
    )
    return Plane(
        size_px=phone.size_px,
        lens=lens,
        to_plane=to_plane,
        distortion=distortion,
        size=size,
        pointing_px=1e-6,
        camera=camera_over(np.append(fit.values[:8], 1.0).reshape(3, 3), lens),
        scale="four corners",
    )


def test_a_plane_seen_without_noise_gives_true_lengths_and_the_camera_of_solve_pnp() -> None:
    # Reference: cv2.projectPoints makes the picture, cv2.solvePnP finds the camera back.
    random = np.random.default_rng(5)
    for _ in range(50):
        phone = _phone(random)
        corners_px = phone.see(_flat(_SQUARE))
        plane = _plane(phone, corners_px, noise_px=0.2, k1_standard=1e-7)
        ends = random.uniform(-90, 90, (2, 2))
        measured = distance(plane, phone.see(_flat(ends)), _FLAT)
        assert measured.value_mm == pytest.approx(np.linalg.norm(ends[0] - ends[1]), abs=1e-4)
        _, turned, moved = cv2.solvePnP(
            _flat(_SQUARE), corners_px - 0.5, phone.matrix, np.zeros(4), flags=cv2.SOLVEPNP_IPPE
        )
        rotation, _ = cv2.Rodrigues(turned)
        stood_mm = (-rotation.T @ moved).ravel()
        exact = camera_over(
            np.linalg.inv(plane.to_plane[0]),
            Lens(focal_frac=0.75, focal_range=(0.75, 0.75)),
        )
        assert exact.height_mm == pytest.approx(abs(stood_mm[2]), rel=1e-4)
        assert exact.foot_mm == pytest.approx(stood_mm[:2], abs=0.2)


@pytest.mark.parametrize(("noise_px", "k1_standard"), [(0.4, 1e-7), (0.2, 0.03)])
def test_the_stated_uncertainty_covers_the_truth_in_95_of_100_draws(
    noise_px: float, k1_standard: float
) -> None:
    """2,000 draws of pose, corner noise and lens: 95 % of the truths lie within 1.96 deviations."""
    random = np.random.default_rng(20_310_504)
    covered = 0
    draws = 2_000
    for _ in range(draws):
        phone = _phone(random, k1=random.normal(0, k1_standard))
        corners_px = phone.see(_flat(_SQUARE)) + random.normal(0, noise_px, (4, 2))
        plane = _plane(phone, corners_px, noise_px=noise_px, k1_standard=k1_standard)
        way = random.uniform(20, 120) * np.exp(1j * random.uniform(0, 2 * np.pi))
        start = random.uniform(-60, 60, 2)
        ends = np.array([start, [start[0] + way.real, start[1] + way.imag]])
        measured = distance(plane, phone.see(_flat(ends)), _FLAT)
        truth_mm = float(np.linalg.norm(ends[0] - ends[1]))
        covered += abs(measured.value_mm - truth_mm) <= 1.96 * measured.standard_mm
    assert covered / draws == pytest.approx(0.95, abs=0.03)


def test_slopes_of_the_fit_are_those_of_its_model() -> None:
    # A further card, a shift and a distortion: noise-free sightings are found back exactly.
    random = np.random.default_rng(3)
    phone = _phone(random)
    lens = Lens(focal_frac=0.75)
    place = np.array([110.0, -35.0, 0.6, 0.02])
    other_mm = _SQUARE * 0.7
    first = lens.to_frame(phone.see(_flat(_SQUARE)), phone.size_px)
    other = lens.to_frame(phone.see(_flat(placed(other_mm, place))), phone.size_px)
    start = np.concatenate([_start(_SQUARE, first), place + np.array([3.0, -2.0, 0.05, -0.02])])
    loose = Priors(shift=0.0, shift_standard=1.0, distortion_standard=1e-7, size_standard=1.0)
    cards = [_sightings(_SQUARE, first, 1e-4), _sightings(other_mm, other, 1e-4)]
    fit = fit_plane(cards, start, loose)
    assert fit.values[10:] == pytest.approx(place, abs=1e-4)
    assert fit.sizes()[0][0] == pytest.approx(0.02, abs=1e-6)


def test_a_shift_of_all_borders_towards_the_black_is_told_from_a_smaller_square() -> None:
    # An outer and an inner border move opposite ways; with the outer one alone they are the same.
    sides = np.array([[0, -30], [30, 0], [0, 30], [-30, 0]], dtype=np.float64)
    many = np.concatenate([sides + (step, step) * (sides == 0) for step in (-25, -10, 0, 10, 25)])
    outward = np.sign(np.round(many * (np.abs(many) == 30)))
    inner = many * np.where(np.abs(many) == 30, 0.5, 1.0)
    at_mm = np.concatenate([many, inner])
    along = np.concatenate([outward, outward])
    to_white = np.concatenate([np.ones(len(many)), -np.ones(len(many))])
    per_mm, shift = 1 / 500, 0.0004
    # ``along`` is from black to white for the outer border and the other way for the inner one.
    along = along * to_white[:, None]
    seen = at_mm * per_mm - along * shift
    sightings = Sightings(
        at_mm=at_mm,
        seen=seen,
        along=along,
        to_white=np.ones(len(at_mm)),
        standard=np.full(len(at_mm), 1e-4),
    )
    start = np.array([per_mm, 0, 0, 0, per_mm, 0, 0, 0, 0, 0])
    fit = fit_plane([sightings], start, _PRIORS)
    assert fit.shift == pytest.approx(shift, rel=1e-3)
    assert fit.values[0] == pytest.approx(per_mm, rel=1e-4)
