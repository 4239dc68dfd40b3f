"""Laws of measuring: never kinder for being less sure, and the same however it is looked at."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage_app.imaging.lens import Lens
from triage_app.imaging.plane import Plane, camera_over, versions
from triage_app.imaging.plane_sizes import Depth, gap, outline_sizes

_NUMBERS = st.floats(-1.0, 1.0)
_DEPTHS = st.floats(0.0, 120.0)
_SIZE_PX = (1600, 1200)


def _plane(tilt_x: float, tilt_y: float, spread: float = 1.0) -> Plane:
    """Return the plane seen by a camera half a metre away, turned by up to 35 degrees or so."""
    lens = Lens(focal_range=(0.75, 0.75))
    to_photo = np.array(
        [[1 / 500, 0, 0.05 * tilt_y], [0, 1 / 500, -0.05], [tilt_x / 900, tilt_y / 900, 1.0]]
    )
    values = np.append(to_photo.ravel()[:8], 0.0)
    covariance = np.diag((spread * np.append(np.abs(values[:8]) * 2e-3 + 1e-7, 0.01)) ** 2)
    to_plane, distortion, size = versions(values, covariance, 0.004)
    return Plane(
        size_px=_SIZE_PX,
        lens=lens,
        to_plane=to_plane,
        distortion=distortion,
        size=size,
        pointing_px=2.0,
        camera=camera_over(to_photo, lens),
        scale="a card",
    )


def _box(x: float, y: float, size: float) -> list[np.ndarray]:
    return [np.array([[x, y], [x + size, y], [x + size, y + size * 0.4], [x, y + size * 0.4]])]


@given(_NUMBERS, _NUMBERS, _DEPTHS, _DEPTHS)
def test_the_less_is_known_of_the_depth_the_nearer_hv_may_be(
    tilt_x: float, tilt_y: float, one_mm: float, other_mm: float
) -> None:
    plane = _plane(tilt_x, tilt_y)
    less, more = sorted((one_mm, other_mm))
    mark, area = _box(500, 500, 120), _box(900, 620, 150)
    sure = gap(plane, mark, area, Depth(behind_mm=less, before_mm=less))
    unsure = gap(plane, mark, area, Depth(behind_mm=more, before_mm=more))
    assert unsure.low_mm <= sure.low_mm + 0.05 * sure.low_mm
    assert sure.low_mm <= sure.value_mm <= sure.high_mm


@given(_NUMBERS, _NUMBERS, _DEPTHS)
def test_what_lies_behind_is_never_read_shorter(tilt_x: float, tilt_y: float, deep: float) -> None:
    plane = _plane(tilt_x, tilt_y)
    flat = outline_sizes(plane, _box(600, 500, 200), Depth(behind_mm=0))
    behind = outline_sizes(plane, _box(600, 500, 200), Depth(behind_mm=deep))
    assert behind.length.high_mm >= flat.length.high_mm
    assert behind.length.low_mm == flat.length.low_mm
    assert behind.area.high_mm2 >= flat.area.high_mm2


@given(_NUMBERS, _NUMBERS, st.floats(1.0, 4.0))
def test_a_less_sure_plane_has_wider_intervals(tilt_x: float, tilt_y: float, by: float) -> None:
    sure = outline_sizes(_plane(tilt_x, tilt_y), _box(600, 500, 200), Depth(behind_mm=0))
    unsure = outline_sizes(_plane(tilt_x, tilt_y, by), _box(600, 500, 200), Depth(behind_mm=0))
    assert unsure.length.low_mm <= sure.length.low_mm + 1e-6
    assert unsure.length.high_mm >= sure.length.high_mm - 1e-6


@given(_NUMBERS, _NUMBERS, st.integers(0, 3))
def test_where_an_outline_starts_changes_nothing(tilt_x: float, tilt_y: float, turn: int) -> None:
    plane = _plane(tilt_x, tilt_y)
    box = _box(600, 500, 200)
    one = outline_sizes(plane, box, Depth(behind_mm=0))
    other = outline_sizes(plane, [np.roll(box[0], turn, axis=0)], Depth(behind_mm=0))
    assert other.length.value_mm == pytest.approx(one.length.value_mm)
    assert other.width.value_mm == pytest.approx(one.width.value_mm)
    assert other.area.value_mm2 == pytest.approx(one.area.value_mm2)


@given(_NUMBERS, _NUMBERS)
def test_the_way_between_two_outlines_is_the_same_both_ways(tilt_x: float, tilt_y: float) -> None:
    plane = _plane(tilt_x, tilt_y)
    mark, area = _box(500, 500, 120), _box(900, 620, 150)
    there = gap(plane, mark, area, Depth(behind_mm=10))
    back = gap(plane, area, mark, Depth(behind_mm=10))
    assert there.value_mm == pytest.approx(back.value_mm)
    assert there.low_mm == pytest.approx(back.low_mm, abs=0.5)
    inside = gap(plane, mark, _box(480, 480, 300), Depth(behind_mm=10))
    assert (inside.value_mm, inside.low_mm) == (0.0, 0.0)


def test_outlines_without_perspective_keep_the_spread_of_two_points() -> None:
    plane = replace(_plane(0, 0), camera=None, spread=(0.82, 1.22))
    sizes = outline_sizes(plane, _box(600, 500, 200), Depth(behind_mm=0))
    assert sizes.length.low_mm < 0.82 * sizes.length.value_mm
    assert sizes.length.high_mm > 1.22 * sizes.length.value_mm
