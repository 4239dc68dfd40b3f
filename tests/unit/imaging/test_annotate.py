"""Marks are drawn on a new picture, around the damage and never over it."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from rules import Risk
from triage_app.domain.geometry import (
    Bounds,
    Ellipse,
    Outline,
    Point,
    bounds,
    polygon,
    rectangle,
    rings_px,
)
from triage_app.imaging.annotate import DrawnMark, View, close_up, draw
from triage_app.imaging.mark_tags import Tag, find_places

PX_PER_MM = 10.0
GREY = (120, 120, 120)


def _photo(
    width_px: int = 400, height_px: int = 300, colour: tuple[int, ...] = GREY
) -> Image.Image:
    return Image.new("RGB", (width_px, height_px), colour)


def _noise(width_px: int = 400, height_px: int = 300) -> Image.Image:
    chance = np.random.default_rng(3)
    pixels = chance.integers(0, 255, (height_px, width_px, 3), dtype=np.uint8)
    return Image.fromarray(pixels)


def _view(
    photo: Image.Image,
    *,
    crop: Bounds | None = None,
    width_px: int = 800,
    recorded_px: tuple[int, int] | None = None,
) -> View:
    recorded = recorded_px or photo.size
    crop = crop or Bounds(0, 0, 1, 1)
    aspect = (crop.right - crop.left) * recorded[0] / ((crop.bottom - crop.top) * recorded[1])
    return View(
        photo_width_px=recorded[0],
        photo_height_px=recorded[1],
        crop=crop,
        width_px=width_px,
        height_px=round(width_px / aspect),
        px_per_mm=PX_PER_MM,
    )


def _mark(outline: Outline, *, risk: Risk = Risk.HIGH, is_emphasised: bool = True) -> DrawnMark:
    return DrawnMark(outline=outline, label="7", risk=risk, is_emphasised=is_emphasised)


def _changed(drawn: Image.Image, plain: Image.Image) -> npt.NDArray[np.bool_]:
    difference = np.abs(np.asarray(drawn, np.int16) - np.asarray(plain, np.int16))
    return np.asarray(difference.max(axis=2) > 6)


MIDDLE = rectangle(0.4, 0.4, 0.6, 0.6)
SHAPES: dict[str, Outline] = {
    "rectangle": MIDDLE,
    "polygon": polygon([(0.4, 0.4), (0.65, 0.5), (0.5, 0.52), (0.45, 0.7)]),
    "ellipse": Ellipse(centre=Point(0.5, 0.5), radius_x_px=60, radius_y_px=30, angle_deg=25),
}


def test_the_photo_that_is_handed_in_stays_as_it_was() -> None:
    photo = _noise()
    before = photo.tobytes()

    draw(photo, [_mark(MIDDLE)], _view(photo, width_px=400))

    assert photo.tobytes() == before


def test_the_same_input_gives_the_same_pixels() -> None:
    photo = _noise()

    first, second = (draw(photo, [_mark(MIDDLE)], _view(photo)) for _ in range(2))

    assert first.tobytes() == second.tobytes()


@pytest.mark.parametrize("shape", SHAPES)
def test_the_damage_inside_an_outline_stays_bare(shape: str) -> None:
    photo, outline = _noise(), SHAPES[shape]
    view = _view(photo)
    scale = view.width_px / photo.width
    ring = rings_px(outline, photo.width, photo.height)[0]
    inside = _inside([(x * scale, y * scale) for x, y in ring], view.width_px, view.height_px)
    # The outermost pixel of the damage is shared with the antialiased edge of the line.
    inside[1:-1, 1:-1] &= (
        inside[:-2, 1:-1] & inside[2:, 1:-1] & inside[1:-1, :-2] & inside[1:-1, 2:]
    )

    changed = _changed(draw(photo, [_mark(outline)], view), draw(photo, [], view))

    assert inside.sum() > 1000
    assert not (changed & inside).any()
    assert changed.sum() > 1000


def _inside(
    ring: list[tuple[float, float]], width_px: int, height_px: int
) -> npt.NDArray[np.bool_]:
    ys, xs = np.mgrid[0:height_px, 0:width_px] + 0.5
    crossings = np.zeros(xs.shape, bool)
    for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if y1 != y2:
            spans = (y1 > ys) != (y2 > ys)
            crossings ^= spans & (xs < (x2 - x1) * (ys - y1) / (y2 - y1) + x1)
    return crossings


@pytest.mark.parametrize("ground", [0, 60, 128, 200, 255])
def test_an_outline_shows_on_any_ground(ground: int) -> None:
    photo = _photo(colour=(ground, ground, ground))

    drawn = np.asarray(draw(photo, [_mark(MIDDLE)], _view(photo)).convert("L"), np.int16)

    # A line from the middle of the mark to the left crosses the outline once.
    crossing = drawn[300, 280:330]
    assert max(abs(int(tone) - ground) for tone in crossing) > 100


def test_risks_differ_without_any_colour() -> None:
    photo = _photo()
    drawn = {
        risk: np.asarray(
            draw(photo, [_mark(MIDDLE, risk=risk)], _view(photo)).convert("L"), np.int16
        )
        for risk in Risk
    }

    def gaps(risk: Risk) -> int:
        """Count the light gaps in the coloured line under the mark."""
        is_light = drawn[risk][360 + 5, 330:470] > 215
        return int((np.diff(is_light.astype(int)) == 1).sum())

    pairs = [
        (one, other)
        for one in Risk
        for other in Risk
        if one < other
        and np.abs(drawn[one][200:400, 280:520] - drawn[other][200:400, 280:520]).mean() < 1.5
    ]
    assert pairs == []
    assert gaps(Risk.HIGH) == 0
    assert gaps(Risk.LOW) > gaps(Risk.MEDIUM) > gaps(Risk.SERIOUS) > 0


def test_a_mark_that_is_not_emphasised_is_thinner_and_has_no_pattern() -> None:
    photo = _noise()
    plain = draw(photo, [], _view(photo))

    full = _changed(draw(photo, [_mark(MIDDLE)], _view(photo)), plain).sum()
    dimmed = _changed(draw(photo, [_mark(MIDDLE, is_emphasised=False)], _view(photo)), plain).sum()

    assert 0 < dimmed < 0.6 * full


def test_a_one_pixel_mark_gets_a_ring_around_it() -> None:
    photo = _photo(4000, 3000)
    outline = rectangle(0.5, 0.5, 0.5 + 1 / 4000, 0.5 + 1 / 3000)

    changed = _changed(draw(photo, [_mark(outline)], _view(photo)), draw(photo, [], _view(photo)))

    assert not changed[295:306, 395:406].any()
    ring = changed[300 - 40 : 300 + 40, 400 - 40 : 400 + 40]
    assert ring.any(axis=0).all()
    assert ring.any(axis=1).all()


def test_a_mark_over_the_whole_photo_gets_its_tag_beside_the_photo() -> None:
    photo = _photo(colour=(10, 200, 10))

    drawn = np.asarray(draw(photo, [_mark(rectangle(0, 0, 1, 1))], _view(photo)))

    green = (drawn[:, :, 1] > 180) & (drawn[:, :, 0] < 40)
    rows, columns = np.where(green)
    shown = green[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    assert shown.mean() > 0.99
    assert green.mean() > 0.6
    assert rows.min() > 50


def test_a_mark_at_the_border_is_not_outlined_along_the_border() -> None:
    photo = _photo()
    mark = _mark(rectangle(0.7, 0.3, 1.0, 0.6))

    changed = _changed(draw(photo, [mark], _view(photo)), draw(photo, [], _view(photo)))

    assert not changed[220:340, 797:].any()
    assert changed[220:340, 540:560].any()


def test_a_mark_outside_the_view_is_not_drawn() -> None:
    photo = _noise()
    crop = Bounds(0.0, 0.0, 0.3, 0.3)

    drawn = draw(photo, [_mark(MIDDLE)], _view(photo, crop=crop))

    assert drawn.tobytes() == draw(photo, [], _view(photo, crop=crop)).tobytes()


def test_an_ellipse_keeps_its_place_when_the_photo_was_decoded_smaller() -> None:
    ellipse = Ellipse(centre=Point(0.5, 0.5), radius_x_px=600, radius_y_px=300, angle_deg=20)
    large, small = _photo(4000, 3000), _photo(1000, 750)

    one = draw(large, [_mark(ellipse)], _view(large))
    other = draw(small, [_mark(ellipse)], _view(small, recorded_px=(4000, 3000)))

    assert one.tobytes() == other.tobytes()


@settings(max_examples=60, deadline=None)
@given(
    boxes=st.lists(
        st.tuples(
            st.floats(0, 0.9), st.floats(0, 0.9), st.floats(0.002, 0.5), st.floats(0.002, 0.5)
        ),
        min_size=1,
        max_size=8,
    ),
    portrait=st.booleans(),
)
def test_no_tag_covers_a_mark_or_leaves_the_picture(
    boxes: list[tuple[float, float, float, float]],
    portrait: bool,  # noqa: FBT001 - drawn by hypothesis
) -> None:
    width, height = (450, 600) if portrait else (600, 450)
    tags = [
        Tag(
            label=str(number),
            risk=Risk.HIGH,
            is_emphasised=True,
            rings=rings_px(
                rectangle(left, top, min(left + across, 1), min(top + down, 1)), width, height
            ),
        )
        for number, (left, top, across, down) in enumerate(boxes, start=1)
    ]

    placed = find_places(tags, width_px=width, height_px=height, px_per_mm=PX_PER_MM)

    taken = [_tag_box(tag) for tag in placed if tag.place]
    for position, box in enumerate(taken):
        assert box[0] >= 0
        assert box[1] >= 0
        assert box[2] <= width
        assert box[3] <= height
        assert not any(_overlap(box, _box(tag)) for tag in placed)
        assert not any(_overlap(box, other) for other in taken[:position])


def _tag_box(tag: Tag) -> tuple[float, float, float, float]:
    assert tag.place is not None
    size = tag.size_px(PX_PER_MM)
    return (*tag.place, tag.place[0] + size[0], tag.place[1] + size[1])


def _box(tag: Tag) -> tuple[float, float, float, float]:
    xs = [x for ring in tag.rings for x, _ in ring]
    ys = [y for ring in tag.rings for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def _overlap(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


CLOSE_UPS: dict[str, Outline] = {
    "one pixel": rectangle(0.5, 0.5, 0.5 + 1 / 4000, 0.5 + 1 / 3000),
    "corner": rectangle(0.0, 0.0, 0.05, 0.05),
    "wide": rectangle(0.1, 0.5, 0.9, 0.52),
    "tall": rectangle(0.95, 0.0, 1.0, 1.0),
    "whole photo": rectangle(0.0, 0.0, 1.0, 1.0),
}


@pytest.mark.parametrize("name", CLOSE_UPS)
@pytest.mark.parametrize("size", [(4000, 3000), (3000, 4000)], ids=["landscape", "portrait"])
def test_a_close_up_shows_the_whole_mark_with_surroundings(
    name: str, size: tuple[int, int]
) -> None:
    outline = CLOSE_UPS[name]

    crop = close_up(outline, *size)

    box = bounds(outline, *size)
    assert 0 <= crop.left <= box.left
    assert box.right <= crop.right <= 1
    assert 0 <= crop.top <= box.top
    assert box.bottom <= crop.bottom <= 1
    assert (crop.right - crop.left) * size[0] >= 0.13 * max(size)
    assert (crop.bottom - crop.top) * size[1] >= 0.13 * max(size)
