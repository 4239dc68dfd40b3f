"""Sizes from photos reach a finding with what they rest on, and the rules with the worse end."""

import math
from dataclasses import replace
from importlib.resources import files

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.builders import ESTIMATOR, a_jpeg, some_tags
from tests.card_photos import Laid, Phone, as_jpeg, photo_of
from tests.unit.services.shop import a_shop
from triage_app.domain.case import Case, Finding, Measures
from triage_app.domain.errors import InvalidInputError, NoScaleError, StaleCaseError
from triage_app.domain.findings import facts_from
from triage_app.domain.geometry import Outline, Point, polygon, rectangle
from triage_app.domain.ids import FindingId
from triage_app.domain.measuring import KnownDistance, KnownRectangle, Size
from triage_app.domain.scale import CardKind
from triage_app.imaging.card_design import SQUARE_CARDS, charuco_board
from triage_app.imaging.plane_sizes import Depth
from triage_app.services import Services
from triage_app.services.measuring import MarkSizes

# Ends of the scrape on photo 07, 310 mm apart (its truth file), as a sliver between them.
SCRAPE = polygon(
    [(1119.8 / 1600, 915 / 1200), (1119.8 / 1600, 922 / 1200), (374.8 / 1600, 665 / 1200),
     (374.8 / 1600, 658 / 1200)]
)  # fmt: skip
FLAT = Depth(behind_mm=1)
SCRAPED = some_tags(component="battery_enclosure", damage="scrape")


@pytest.fixture
def shop() -> Services:
    return a_shop()


def marked_case(
    shop: Services, *, photo: str = "07_battery_floor_scrape.jpg", outline: Outline = SCRAPE
) -> tuple[Case, Finding]:
    opened = shop.intake.open_case(by=ESTIMATOR)
    data = files("demo_photos").joinpath(photo).read_bytes() if photo else a_jpeg()
    shop.intake.add_photo(opened.id, data, file_name=photo or "a.jpg", by=ESTIMATOR)
    case = shop.cases.get(opened.id)
    case = shop.marking.mark(
        case.id, case.photos[0].id, outline, by=ESTIMATOR, tags=SCRAPED, finding_id=FindingId("F1")
    ).case
    return case, case.finding(FindingId("F1"))


def measured(
    shop: Services, case: Case, finding: Finding, *, hv_depth: Depth | None = None
) -> MarkSizes:
    mark = finding.marks[0]
    return shop.measuring.sizes_of(case.photo(mark.photo_id), mark, depth=FLAT, hv_depth=hv_depth)


def test_until_somebody_measures_the_print_there_are_no_millimetres(shop: Services) -> None:
    case, finding = marked_case(shop)
    with pytest.raises(NoScaleError, match="has not been measured yet"):
        measured(shop, case, finding)
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    assert measured(shop, case, finding).sizes.length.value_mm == pytest.approx(310, rel=0.02)


@pytest.mark.parametrize("side_mm", [6.0, 600.0, 2.36, 44.0, float("nan")])
def test_a_side_that_no_printer_makes_is_refused(shop: Services, side_mm: float) -> None:
    with pytest.raises(InvalidInputError, match="no printer makes"):
        shop.scale_records.record_card_side(CardKind.SQUARE, side_mm, by=ESTIMATOR)
    assert shop.scale_records.card_sides() == {}


def test_a_measured_length_says_where_it_is_from_and_counts_with_its_upper_end(
    shop: Services,
) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    sizes = measured(shop, case, finding)
    changed = shop.measuring.use_sizes(
        case.id, finding.id, sizes, [Size.LENGTH, Size.WIDTH], expected_revision=1, by=ESTIMATOR
    )
    new = changed.finding(finding.id)
    source = new.tags.measures.source_of(Size.LENGTH)
    assert source is not None
    assert source.photo_id == case.photos[0].id
    assert source.low_mm <= 310 <= source.high_mm
    assert f"measured by {ESTIMATOR.name}" in source.scale
    assert new.tags.measures.measured_how.startswith("From photo 1: card 7 (black square 60 mm")
    assert facts_from(changed, new).length_mm == source.high_mm > source.value_mm


def test_what_a_person_typed_is_replaced_only_when_told_to(shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    typed = replace(finding.tags, measures=Measures(length_mm=305.0, measured_how="tape"))
    case = shop.marking.tag(case.id, finding.id, typed, expected_revision=1, by=ESTIMATOR)
    sizes = measured(shop, case, finding)
    use = {"expected_revision": 2, "by": ESTIMATOR}
    with pytest.raises(InvalidInputError, match="typed length"):
        shop.measuring.use_sizes(case.id, finding.id, sizes, [Size.LENGTH], **use)  # type: ignore[arg-type]
    assert shop.cases.get(case.id).finding(finding.id).tags.measures.length_mm == 305.0
    changed = shop.measuring.use_sizes(
        case.id,
        finding.id,
        sizes,
        [Size.LENGTH],
        replace_typed=True,
        **use,  # type: ignore[arg-type]
    )
    measures = changed.finding(finding.id).tags.measures
    assert measures.length_mm == pytest.approx(310, rel=0.02)
    assert measures.measured_how.startswith("tape From photo 1")


def test_a_size_typed_over_is_a_typed_one_again() -> None:
    shop = a_shop()
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    case = shop.measuring.use_sizes(
        case.id,
        finding.id,
        measured(shop, case, finding),
        [Size.LENGTH],
        expected_revision=1,
        by=ESTIMATOR,
    )
    tags = case.finding(finding.id).tags
    typed = replace(tags, measures=replace(tags.measures, length_mm=280.0))
    assert typed.measures.sources == ()


def test_an_outline_changed_since_makes_the_size_unknown_again(shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    case = shop.measuring.use_sizes(
        case.id,
        finding.id,
        measured(shop, case, finding),
        [Size.LENGTH],
        expected_revision=1,
        by=ESTIMATOR,
    )
    case = shop.marking.reshape(
        case.id, finding.marks[0].id, rectangle(0.2, 0.5, 0.8, 0.8), expected_revision=1,
        by=ESTIMATOR,
    ).case  # fmt: skip
    assert facts_from(case, case.finding(finding.id)).length_mm is None


def test_sizes_of_an_outline_that_was_reshaped_meanwhile_are_refused(shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    sizes = measured(shop, case, finding)
    shop.marking.reshape(
        case.id, finding.marks[0].id, rectangle(0.2, 0.5, 0.8, 0.8), expected_revision=1,
        by=ESTIMATOR,
    )  # fmt: skip
    with pytest.raises(InvalidInputError, match="measure it again"):
        shop.measuring.use_sizes(
            case.id, finding.id, sizes, [Size.LENGTH], expected_revision=2, by=ESTIMATOR
        )


def test_somebody_elses_edit_is_never_overwritten(shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, finding = marked_case(shop)
    sizes = measured(shop, case, finding)
    noted = replace(finding.tags, note="deep")
    shop.marking.tag(case.id, finding.id, noted, expected_revision=1, by=ESTIMATOR)
    with pytest.raises(StaleCaseError):
        shop.measuring.use_sizes(
            case.id, finding.id, sizes, [Size.LENGTH], expected_revision=1, by=ESTIMATOR
        )


def test_the_near_end_of_the_distance_is_what_the_rules_count(shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    # The warning label on photo 03, and the cut cable: orange areas are proposed there.
    case, finding = marked_case(
        shop,
        photo="03_cut_hv_cable_burn_mark.jpg",
        outline=polygon([(0.42, 0.86), (0.54, 0.87), (0.54, 0.93), (0.42, 0.92)]),
    )
    assert measured(shop, case, finding).near_hv is None  # nobody said how far off the plane
    near = measured(shop, case, finding, hv_depth=Depth(behind_mm=30, before_mm=30))
    assert near.near_hv is not None
    assert near.near_hv.low_mm < near.near_hv.value_mm < near.near_hv.high_mm
    changed = shop.measuring.use_sizes(
        case.id, finding.id, near, [Size.DISTANCE_TO_HV], expected_revision=1, by=ESTIMATOR
    )
    facts = facts_from(changed, changed.finding(finding.id))
    assert facts.distance_to_hv_mm is not None
    assert facts.distance_uncertainty_mm is not None
    counted_mm = facts.distance_to_hv_mm - facts.distance_uncertainty_mm
    assert counted_mm == pytest.approx(near.near_hv.low_mm, abs=0.11)
    deeper = measured(shop, case, finding, hv_depth=Depth(behind_mm=150, before_mm=150))
    assert deeper.near_hv is not None
    assert deeper.near_hv.low_mm < near.near_hv.low_mm


def test_a_rectangle_pointed_at_gives_the_scale_where_no_card_is(shop: Services) -> None:
    # Without any measured card: the yellow label of photo 03 is 60 x 90 mm (its truth file).
    case, finding = marked_case(
        shop,
        photo="03_cut_hv_cable_burn_mark.jpg",
        outline=polygon([(0.448, 0.57), (0.5605, 0.57), (0.5605, 0.59), (0.448, 0.59)]),
    )
    # Corners to the nearest pixel or two, as a person points at them.
    corners = ((665, 979), (683, 1074), (875, 1086), (867, 988))
    one, two, three, four = (Point((x + 0.5) / 1600, (y + 0.5) / 1200) for x, y in corners)
    label = KnownRectangle(
        corners=(one, two, three, four), first_mm=60, second_mm=90, what="warning label"
    )
    case = shop.measuring.set_reference(case.id, case.photos[0].id, label, by=ESTIMATOR)
    sizes = measured(shop, case, case.finding(finding.id)).sizes
    assert sizes.length.low_mm <= 68.25 <= sizes.length.high_mm


def test_two_points_warn_and_give_no_distance_to_hv(shop: Services) -> None:
    case, finding = marked_case(shop, photo="03_cut_hv_cable_burn_mark.jpg")
    known = KnownDistance(ends=(Point(0.42, 0.857), Point(0.545, 0.866)), length_mm=90)
    case = shop.measuring.set_reference(case.id, case.photos[0].id, known, by=ESTIMATOR)
    sizes = measured(shop, case, finding)
    assert "no perspective correction" in sizes.cautions[0]
    assert sizes.sizes.length.high_mm > 1.2 * sizes.sizes.length.value_mm
    with pytest.raises(NoScaleError, match="no distance to HV"):
        measured(shop, case, finding, hv_depth=FLAT)


def test_a_rectangle_with_its_sides_swapped_is_no_scale(shop: Services) -> None:
    case, _ = marked_case(shop, photo="03_cut_hv_cable_burn_mark.jpg")
    corners = ((665, 979), (683, 1074), (875, 1086), (867, 988))
    one, two, three, four = (Point((x + 0.5) / 1600, (y + 0.5) / 1200) for x, y in corners)
    swapped = KnownRectangle(corners=(one, two, three, four), first_mm=90, second_mm=60)
    case = shop.measuring.set_reference(case.id, case.photos[0].id, swapped, by=ESTIMATOR)
    with pytest.raises(NoScaleError, match="looks stretched"):
        shop.measuring.plane_of(case.photos[0])


def test_corners_out_of_order_are_no_rectangle(shop: Services) -> None:
    case, _ = marked_case(shop, photo="03_cut_hv_cable_burn_mark.jpg")
    one, two, three, four = (Point(0.4, 0.8), Point(0.5, 0.9), Point(0.5, 0.8), Point(0.4, 0.9))
    crossed = KnownRectangle(corners=(one, two, three, four), first_mm=60, second_mm=90)
    case = shop.measuring.set_reference(case.id, case.photos[0].id, crossed, by=ESTIMATOR)
    with pytest.raises(NoScaleError, match="in order around it"):
        shop.measuring.plane_of(case.photos[0])


def _board_photo(number: int, *, model: str = "Demo Phone") -> bytes:
    """Return a photo of the board from one of several sides; focal length 0.8 of the long side."""
    phone = Phone(
        rotation=(0.45 * math.cos(number), 0.45 * math.sin(number), 0.1),
        translation_mm=(-80, -110, 360),
        size_px=(1200, 900),
        focal_frac=0.8,
    )
    board = charuco_board().generateImage((1360, 1904), marginSize=0, borderBits=1)  # 8 per mm
    corners_mm = np.array([[0, 0, 0], [170, 0, 0], [170, 238, 0], [0, 238, 0]], dtype=np.float64)
    source = np.array([[0, 0], [1360, 0], [1360, 1904], [0, 1904]], dtype=np.float32) - 0.5
    seen = (phone.see(corners_mm) - 0.5).astype(np.float32)
    drawn = cv2.warpPerspective(
        np.asarray(board),
        cv2.getPerspectiveTransform(source, seen),
        phone.size_px,
        flags=cv2.INTER_AREA,
        borderValue=(255,),
    )
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Demo", model
    return as_jpeg(Image.fromarray(cv2.GaussianBlur(drawn, (0, 0), 0.8)), exif=exif)


def test_a_lens_calibrated_once_is_used_for_the_photos_of_its_phone(shop: Services) -> None:
    record = shop.scale_records.calibrate_lens([_board_photo(n) for n in range(8)], by=ESTIMATOR)
    assert record.camera == "Demo Demo Phone"
    assert record.focal_frac == pytest.approx(0.8, rel=0.01)
    assert abs(record.k1) < 3 * record.k1_standard
    assert shop.scale_records.lenses() == [record]
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    phone = Phone(rotation=(0.2, 0.1, 0), translation_mm=(0, 0, 450), size_px=(1200, 900))
    picture = photo_of(phone, [Laid(card=SQUARE_CARDS[3])])
    opened = shop.intake.open_case(by=ESTIMATOR)
    for model in ("Demo Phone", "Other Phone"):
        exif = Image.Exif()
        exif[0x010F], exif[0x0110] = "Demo", model
        data = as_jpeg(picture, exif=exif)
        shop.intake.add_photo(opened.id, data, file_name=f"{model}.jpg", by=ESTIMATOR)
    mine, others = shop.cases.get(opened.id).photos
    assert shop.measuring.plane_of(mine).lens.is_calibrated
    assert not shop.measuring.plane_of(others).lens.is_calibrated


def test_boards_of_two_phones_calibrate_neither(shop: Services) -> None:
    photos = [_board_photo(n) for n in range(7)] + [_board_photo(7, model="Other Phone")]
    with pytest.raises(InvalidInputError, match="several cameras"):
        shop.scale_records.calibrate_lens(photos, by=ESTIMATOR)
    assert shop.scale_records.lenses() == []
