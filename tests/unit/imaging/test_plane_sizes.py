"""The way to HV off the plane: the true distance in space lies within the stated interval."""

import numpy as np
import pytest

from tests.card_photos import Phone
from tests.unit.imaging.test_plane_fit import _SQUARE, _flat, _phone, _plane
from triage_app.domain.errors import NoScaleError
from triage_app.imaging.plane_fit import Floats
from triage_app.imaging.plane_sizes import Depth, gap, outline_sizes


def _box_mm(x: float, y: float, deep: float) -> Floats:
    return np.array([[x, y, deep], [x + 30, y, deep], [x + 30, y + 20, deep], [x, y + 20, deep]])


def test_the_true_way_to_an_hv_part_off_the_plane_lies_within_the_interval() -> None:
    # The picture is made by cv2.projectPoints; both boxes are upright, so their distance is plain.
    random = np.random.default_rng(21)
    for _ in range(200):
        phone = _phone(random)
        plane = _plane(phone, phone.see(_flat(_SQUARE)), noise_px=0.1, k1_standard=1e-6)
        deep = random.uniform(-40, 40)
        mark, part = _box_mm(-20, -10, 0), _box_mm(random.uniform(20, 120), -10, deep)
        lateral = max(0.0, part[0, 0] - 10.0)
        truth_mm = float(np.hypot(lateral, deep))
        off = Depth(behind_mm=40, before_mm=40)
        measured = gap(plane, [phone.see(mark)], [phone.see(part)], off)
        assert measured.low_mm <= truth_mm <= measured.high_mm


def test_a_surface_behind_the_plane_is_longer_than_it_reads_and_the_interval_says_so() -> None:
    # FACTS CAM-07: 30 mm behind at 600 mm reads 4.8 % short.
    phone = Phone(rotation=(0, 0, 0), translation_mm=(0, 0, 600))
    plane = _plane(phone, phone.see(_flat(_SQUARE)), noise_px=0.05, k1_standard=1e-6)
    behind = np.array([[-50, -10, 30], [50, -10, 30], [50, 10, 30], [-50, 10, 30]], dtype=float)
    sizes = outline_sizes(plane, [phone.see(behind)], Depth(behind_mm=30))
    truth_mm = float(np.hypot(100, 20))
    assert sizes.length.value_mm == pytest.approx(truth_mm * 600 / 630, rel=1e-3)
    assert sizes.length.high_mm >= truth_mm
    assert sizes.area.high_mm2 >= 2000


def test_a_mark_seen_too_flat_gives_no_number() -> None:
    phone = Phone(rotation=(1.25, 0, 0), translation_mm=(0, 0, 500))
    plane = _plane(phone, phone.see(_flat(_SQUARE)), noise_px=0.05, k1_standard=1e-6)
    far = np.array([[-50, 300, 0], [50, 300, 0], [50, 330, 0], [-50, 330, 0]], dtype=float)
    near = np.array([[-50, -900, 0], [50, -900, 0], [50, -930, 0], [-50, -930, 0]], dtype=float)
    refused = 0
    for place in (far, near):
        try:
            outline_sizes(plane, [phone.see(place)], Depth(behind_mm=0))
        except NoScaleError as error:
            refused += "too flat" in str(error)
    assert refused >= 1
