"""Cards on photos: against the truth of the demo photos, drawn photos, and what must be refused."""

import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import demo_photos
from tests.card_photos import Laid, Phone, as_jpeg, on_surface, photo_of
from triage_app.domain.errors import NoScaleError
from triage_app.domain.scale import CardKind
from triage_app.imaging.card_design import LONG_CARDS, SQUARE_CARDS
from triage_app.imaging.decode import decode
from triage_app.imaging.lens import Lens
from triage_app.imaging.plane import Plane
from triage_app.imaging.plane_sizes import Depth, distance, gap
from triage_app.imaging.scale_reading import Rgb, read_plane

_DEMO = Path(demo_photos.__file__).parent
_WITH_CARD = ("03_cut_hv_cable_burn_mark", "05_cross_member_bent", "07_battery_floor_scrape")
_SIDES = {CardKind.SQUARE: 60.0, CardKind.LONG: 40.0}
_TURNED = Phone(rotation=(0.35, -0.25, 0.7), translation_mm=(10, -20, 480), size_px=(1200, 900))
_ABOVE = Phone(rotation=(0.1, 0.05, 0.2), translation_mm=(0, 0, 480), size_px=(1200, 900))
_SQUARE, _OTHER, _LONG = SQUARE_CARDS[4], SQUARE_CARDS[5], LONG_CARDS[0]


def _rgb(photo: Image.Image) -> Rgb:
    return np.asarray(photo.convert("RGB"))


def _read(photo: Image.Image, lens: Lens | None = None) -> Plane:
    return read_plane(_rgb(photo), sides_mm=_SIDES, lens=lens or Lens())


def _truth(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((_DEMO / "truth" / f"{name}.json").read_text())
    return found


def _features() -> Iterator[Any]:
    for name in _WITH_CARD:
        for feature, known in _truth(name)["scale_card"]["measured_features"].items():
            yield pytest.param(name, known, id=f"{name[:2]}-{feature}")


@pytest.fixture(scope="module")
def demo_planes() -> dict[str, Plane]:
    return {name: _read(Image.open(_DEMO / f"{name}.jpg")) for name in _WITH_CARD}


@pytest.mark.parametrize(("name", "known"), list(_features()))
def test_true_lengths_of_the_demo_photos_lie_within_the_stated_interval(
    name: str, known: dict[str, Any], demo_planes: dict[str, Plane]
) -> None:
    # The truth counts from the middle of the first pixel, as OpenCV does.
    ends_px = np.array(known["endpoints_px"]) + 0.5
    behind = Depth(behind_mm=known["height_off_card_plane_mm"])
    measured = distance(demo_planes[name], ends_px, behind)
    truth_mm = known["true_length_mm"]
    assert measured.low_mm <= truth_mm <= measured.high_mm
    # And it is a measurement, not a shrug: within 1.5 % of the truth, where corners miss by 4 %.
    assert measured.value_mm == pytest.approx(truth_mm, rel=0.015)


def test_the_burn_mark_of_photo_03_is_as_far_from_the_cable_as_it_truly_is(
    demo_planes: dict[str, Plane],
) -> None:
    truth = _truth("03_cut_hv_cable_burn_mark")
    burn = truth["damages"]["enclosure_burn_mark"]
    cable = truth["damages"]["hv_cable_cut_battery_side"]
    mark, stub = ([np.array(each["polygons_px"][0]) + 0.5] for each in (burn, cable))
    # The stub hangs 35 mm before the enclosure's plane at most, and no part lies behind it.
    measured = gap(demo_planes[_WITH_CARD[0]], mark, stub, Depth(behind_mm=5, before_mm=40))
    assert measured.low_mm <= burn["min_distance_mm"]["hv_cable"] <= measured.high_mm


def test_half_a_pixel_of_tone_curve_is_found_and_taken_out() -> None:
    # Drawn photos: black squares look about half a pixel small on each side, as on a phone.
    laid = Laid(card=_SQUARE)
    plane = _read(photo_of(_TURNED, [laid], seed=3))
    assert 0.25 < plane.shift_px < 0.75
    ends = on_surface(laid, np.array([[-30.0, -30.0], [30.0, 30.0]]))
    measured = distance(plane, _TURNED.see(ends), Depth(behind_mm=0))
    assert measured.value_mm == pytest.approx(60 * 2**0.5, rel=0.003)
    sharp = _read(photo_of(_TURNED, [laid], finish=False))
    assert abs(sharp.shift_px) < 0.06


def test_lengths_on_drawn_photos_lie_within_the_stated_interval() -> None:
    random = np.random.default_rng(11)
    misses, count = 0, 0
    for seed in range(12):
        phone = Phone(
            rotation=(*np.clip(random.normal(0, 0.35, 2), -0.6, 0.6), random.uniform(-3, 3)),
            translation_mm=(random.uniform(-40, 40), random.uniform(-40, 40), 500),
            size_px=(1000, 750),
            k1=random.normal(0, 0.02),
        )
        card = (_SQUARE, _LONG)[seed % 2]
        plane = _read(photo_of(phone, [Laid(card=card)], seed=seed))
        for _ in range(6):
            ends_mm = np.column_stack([random.uniform(-110, 110, (2, 2)), np.zeros(2)])
            measured = distance(plane, phone.see(ends_mm), Depth(behind_mm=0))
            count += 1
            truth_mm = float(np.linalg.norm(ends_mm[0] - ends_mm[1]))
            misses += not measured.low_mm <= truth_mm <= measured.high_mm
    assert count == 72
    assert misses <= 0.05 * count


def test_two_cards_together_are_surer_than_one() -> None:
    laid = [Laid(card=_SQUARE, x_mm=-110), Laid(card=_OTHER, x_mm=110, turn_deg=33)]
    ends_px = _ABOVE.see(np.array([[-100.0, 60.0, 0.0], [100.0, 60.0, 0.0]]))
    both = distance(_read(photo_of(_ABOVE, laid)), ends_px, Depth(behind_mm=0))
    one = distance(_read(photo_of(_ABOVE, laid[:1])), ends_px, Depth(behind_mm=0))
    assert both.standard_mm < one.standard_mm
    assert both.low_mm <= 200 <= both.high_mm
    assert both.value_mm == pytest.approx(200, rel=0.005)


def test_a_print_that_came_out_small_measures_right_with_its_own_side() -> None:
    laid = Laid(card=_SQUARE, printed=0.95)
    photo = photo_of(_ABOVE, [laid])
    plane = read_plane(_rgb(photo), sides_mm={CardKind.SQUARE: 57.0}, lens=Lens())
    ends_px = _ABOVE.see(np.array([[-60.0, 0.0, 0.0], [60.0, 0.0, 0.0]]))
    assert distance(plane, ends_px, Depth(behind_mm=0)).value_mm == pytest.approx(120, rel=0.01)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_all_eight_orientations_measure_the_same(orientation: int) -> None:
    # Values of tag 274: CIPA DC-008. A mirrored one is *stored* mirrored and shown the right way.
    upright = photo_of(_TURNED, [Laid(card=_SQUARE)], seed=1)
    back = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    stored = upright.transpose(back[orientation]) if orientation in back else upright
    exif = Image.Exif()
    exif[0x0112] = orientation
    shown = decode(as_jpeg(stored, exif=exif))
    plane = _read(shown.pixels)
    ends_px = _TURNED.see(np.array([[-60.0, 10.0, 0.0], [60.0, 10.0, 0.0]]))
    measured = distance(plane, ends_px, Depth(behind_mm=0))
    assert measured.low_mm <= 120 <= measured.high_mm
    assert measured.value_mm == pytest.approx(120, rel=0.01)


def test_a_48_megapixel_photo_is_measured_at_its_full_size() -> None:
    small = photo_of(_TURNED, [Laid(card=_SQUARE)], seed=2)
    large = small.resize((8000, 6000), Image.Resampling.BICUBIC)
    plane = _read(large)
    ends_px = _TURNED.see(np.array([[-60.0, 10.0, 0.0], [60.0, 10.0, 0.0]])) * (8000 / 1200)
    assert distance(plane, ends_px, Depth(behind_mm=0)).value_mm == pytest.approx(120, rel=0.01)


def _cut(photo: Image.Image, marker_part: float) -> Image.Image:
    """Cut the photo so that the border runs through the card."""
    seen = _ABOVE.see(np.array([[marker_part, 0.0, 0.0]]))
    return photo.crop((round(seen[0, 0]), 0, photo.width, photo.height))


_REFUSED: dict[str, tuple[Callable[[], Image.Image], str]] = {
    "no card": (lambda: photo_of(_ABOVE, []), "No scale card is seen whole"),
    "black square cut off": (
        lambda: _cut(photo_of(_ABOVE, [Laid(card=_SQUARE)]), -15.0),
        "No scale card is seen whole",
    ),
    "white border cut off": (
        lambda: _cut(photo_of(_ABOVE, [Laid(card=_SQUARE, turn_deg=-11.5)]), -34.5),
        "cut off at the border",
    ),
    "mirrored": (
        lambda: photo_of(_ABOVE, [Laid(card=_SQUARE)]).transpose(Image.Transpose.FLIP_LEFT_RIGHT),
        "mirrored",
    ),
    "panorama": (
        lambda: photo_of(_ABOVE, [Laid(card=_SQUARE)]).crop((0, 200, 1200, 700)),
        "panorama",
    ),
    "one card higher": (
        lambda: photo_of(
            _ABOVE, [Laid(card=_SQUARE, x_mm=-80), Laid(card=_OTHER, x_mm=80, behind_mm=40)]
        ),
        "do not agree",
    ),
    "printed differently": (
        lambda: photo_of(
            _ABOVE,
            [
                Laid(card=_SQUARE, x_mm=-80),
                Laid(card=_LONG, x_mm=95, turn_deg=90, printed=0.93),
            ],
        ),
        "do not agree",
    ),
    "the same number twice": (
        lambda: photo_of(_ABOVE, [Laid(card=_SQUARE, x_mm=-80), Laid(card=_SQUARE, x_mm=80)]),
        "there 2 times",
    ),
    "too small": (
        lambda: photo_of(_ABOVE, [Laid(card=_SQUARE)]).resize((110, 82)),
        "too small|seen whole",
    ),
    "stretched": (
        lambda: photo_of(
            Phone(rotation=(0, 0, 0), translation_mm=(0, 0, 480), size_px=(900, 900)),
            [Laid(card=_SQUARE)],
        ).resize((1400, 900)),
        "stretched",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", _REFUSED)
def test_what_cannot_be_measured_gives_a_reason_and_no_number(case: str) -> None:
    draw, reason = _REFUSED[case]
    with pytest.raises(NoScaleError, match=reason):
        _read(draw())


def test_a_card_that_nobody_measured_gives_no_number() -> None:
    with pytest.raises(NoScaleError, match="square card has not been measured"):
        read_plane(_rgb(photo_of(_ABOVE, [Laid(card=_SQUARE)])), sides_mm={}, lens=Lens())


def test_a_black_and_white_photo_measures_as_well() -> None:
    grey = photo_of(_ABOVE, [Laid(card=_SQUARE)]).convert("L")
    out = io.BytesIO()
    grey.save(out, "JPEG", quality=90)
    assert _read(decode(out.getvalue()).pixels).card_numbers == (4,)
