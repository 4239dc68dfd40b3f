"""The drawing of the underside: whole, the same each time, and every finding where it belongs."""

import io
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from rules import ComponentId, Risk, Side, ZoneId, load_rulebook
from tests.builders import SIGNED
from triage_app.domain.plan_view import PLAN_ZONES, WIDTH_TO_HEIGHT, PlanPin, place_of, zone_at
from triage_app.imaging.underside import PlanTag, alt_text, tags_apart, underside_png, underside_svg
from triage_app.imaging.underside.drawing import tag_width
from triage_app.imaging.underside.shapes import HEIGHT, WIDTH, Stroke, car

LABELS = {zone.id: zone.label for zone in load_rulebook().zones.values()}


def tag(number: int, zone: str, risk: Risk = Risk.HIGH, side: Side | None = None) -> PlanTag:
    place = place_of(ZoneId(zone), side)
    assert place is not None
    return PlanTag(number=number, risk=risk, x_frac=place[0], y_frac=place[1], zone=ZoneId(zone))


def pixels(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), np.int16)


@pytest.mark.parametrize("zone", [zone.zone for zone in PLAN_ZONES])
@pytest.mark.parametrize("side", [None, *Side])
def test_a_place_lies_in_its_zone(zone: ZoneId, side: Side | None) -> None:
    place = place_of(zone, side)
    assert place is not None
    assert zone_at(*place) == zone


def test_every_zone_of_the_book_is_on_the_plan() -> None:
    assert {zone.zone for zone in PLAN_ZONES} == set(LABELS)


def test_left_lies_left() -> None:
    left, right = (place_of(ZoneId("battery_mid"), side) for side in (Side.LEFT, Side.RIGHT))
    assert left is not None
    assert right is not None
    assert left[0] < 0.5 < right[0]


def test_a_pin_counts_in_the_named_zone_only() -> None:
    pin = PlanPin(x_frac=0.6, y_frac=0.4, signed=SIGNED)
    assert place_of(ZoneId("battery_front"), None, pin) == (0.6, 0.4)
    moved = place_of(ZoneId("rear_end"), None, pin)
    assert moved is not None
    assert zone_at(*moved) == "rear_end"


def test_no_zone_no_place() -> None:
    assert place_of(None, None, PlanPin(x_frac=0.6, y_frac=0.4, signed=SIGNED)) is None


def test_the_car_lies_within_the_drawing_and_is_whole() -> None:
    strokes = [one for one in car() if isinstance(one, Stroke)]
    for one in strokes:
        assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in one.points), one.what
    names = [one.what for one in strokes]
    assert names.count("lifting point") == 4
    assert sum(name.startswith("HV run") for name in names) >= 4
    assert names.count("front wheel") == names.count("rear wheel") == 2


def test_high_voltage_runs_only_where_the_book_says_that_it_may() -> None:
    """A drawn HV run starts and ends in zones where the book knows HV parts."""
    book = load_rulebook()
    charged = {zone.id for zone in book.zones.values() if zone.hv_runs_here}
    inlet = set(book.components[ComponentId("charge_inlet")].zones)
    for one in car():
        if isinstance(one, Stroke) and one.what.startswith("HV run"):
            zones = {zone_at(x / WIDTH, y / HEIGHT) for x, y in one.points}
            assert zones <= charged | inlet


def test_same_input_same_bytes() -> None:
    tags = [tag(1, "battery_mid"), tag(2, "sill_left", Risk.LOW)]
    assert underside_png(tags, height_px=400) == underside_png(tags, height_px=400)
    assert underside_svg(tags, zone_labels=LABELS) == underside_svg(tags, zone_labels=LABELS)


def test_png_has_the_frame_of_the_plan_and_no_metadata() -> None:
    made = Image.open(io.BytesIO(underside_png(height_px=500)))
    assert made.size == (round(500 * WIDTH_TO_HEIGHT), 500)
    assert made.info.get("exif") is None


def test_sixty_tags_cover_neither_each_other_nor_leave_the_drawing() -> None:
    zones = [zone.zone for zone in PLAN_ZONES]
    tags = tags_apart([tag(n, zones[n % 5 + 4]) for n in range(1, 61)])
    boxes = []
    for shown in tags:
        (x, y), half = shown.shown_at, tag_width(shown) / 2
        assert half <= x <= WIDTH - half
        assert 15 <= y <= HEIGHT - 15
        boxes.append((x - half, y - 15, x + half, y + 15))
    for index, one in enumerate(boxes):
        for other in boxes[index + 1 :]:
            apart = (
                one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            )
            assert apart


def test_risks_differ_in_grey_too() -> None:
    """Two tags of different risk differ on a black-and-white print: by letter and line."""
    shown = {
        risk: np.asarray(
            Image.open(
                io.BytesIO(underside_png([tag(8, "battery_mid", risk)], height_px=600))
            ).convert("L")
        ).tobytes()
        for risk in Risk
    }
    assert len(set(shown.values())) == len(Risk)
    assert len({tag(8, "battery_mid", risk).label for risk in Risk}) == len(Risk)


def test_the_emphasised_zone_alone_changes() -> None:
    plain, shown = (
        pixels(underside_png(height_px=500, emphasised=zones))
        for zones in ((), (ZoneId("rear_left"),))
    )
    rows, columns = np.nonzero(np.abs(plain - shown).sum(axis=2) > 120)
    assert len(rows) > 500
    assert rows.min() >= 0.69 * 500 - 4
    assert rows.max() <= 0.88 * 500 + 4
    assert columns.max() <= 0.27 * 230 + 4


def test_svg_is_one_picture_with_words_and_zones_to_tap() -> None:
    hostile = {ZoneId("front_end"): '<script>"&'}
    made = underside_svg([tag(7, "front_end")], zone_labels=hostile)
    root = ElementTree.fromstring(made)  # noqa: S314 - our own text
    assert root.get("role") == "img"
    assert "7 (High)" in (root.get("aria-label") or "")
    rects = [one for one in root.iter() if one.get("data-zone")]
    assert [one.get("data-zone") for one in rects] == [zone.zone for zone in PLAN_ZONES]
    assert "7 H" in [one.text for one in root.iter() if one.tag.endswith("text")]


def test_alt_text_says_where_each_finding_is() -> None:
    said = alt_text(
        [tag(3, "battery_mid", Risk.SERIOUS), tag(1, "battery_mid")],
        LABELS,
        emphasised=[ZoneId("battery_mid")],
    )
    assert "Battery area, middle: 3 (Serious), 1 (High)" in said
    assert "zone emphasised: Battery area, middle" in said
