"""Retake this one: said of the whole photo and of the damage, while the car is still up."""

import io

import pytest
from PIL import Image, ImageFilter

from tests.builders import ESTIMATOR, a_jpeg
from tests.ui.conftest import OpenPage, press
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId
from triage_app.services import Services
from triage_app.ui.navigation import Place

F1 = FindingId("F1")
BOX = rectangle(0.1, 0.1, 0.6, 0.6)


def added(shop: Services, case: Case, data: bytes) -> None:
    shop.intake.add_photo(case.id, data, file_name="a.jpg", by=ESTIMATOR)


def blurred() -> bytes:
    with Image.open(io.BytesIO(a_jpeg(1_600, 1_200))) as sharp:
        soft = sharp.filter(ImageFilter.GaussianBlur(6))
    out = io.BytesIO()
    soft.save(out, "JPEG", quality=95)
    return out.getvalue()


@pytest.fixture
def blurred_case(shop: Services) -> Case:
    case = shop.intake.open_case(by=ESTIMATOR)
    added(shop, case, blurred())
    photo = shop.cases.get(case.id).photos[0]
    return shop.marking.mark(case.id, photo.id, BOX, by=ESTIMATOR, finding_id=F1).case


def warned(open_page: OpenPage, case: Case) -> list[str]:
    tab = press(open_page(Place.MARK, case), "1 · not named yet")
    return [box.value for box in tab.warning]


def test_a_blurred_photo_and_a_blurred_damage_are_asked_for_again(
    open_page: OpenPage, blurred_case: Case
) -> None:
    whole, damage = warned(open_page, blurred_case)
    assert whole.startswith("**Retake this one, while the car is still up:** The photo is blurred")
    assert damage.startswith("**Retake photo 1 of this damage")
    assert "The damage is blurred" in damage


def test_one_good_view_of_the_damage_is_enough(
    open_page: OpenPage, shop: Services, blurred_case: Case
) -> None:
    added(shop, blurred_case, a_jpeg(1_600, 1_200))
    case = shop.cases.get(blurred_case.id)
    after = shop.marking.mark(case.id, case.photos[1].id, BOX, by=ESTIMATOR, finding_id=F1).case
    assert not any("of this damage" in said for said in warned(open_page, after))
