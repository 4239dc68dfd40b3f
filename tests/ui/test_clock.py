"""A wrong camera clock is put right on the intake page, and the photos change places."""

import io

import pytest
from PIL import Image

from tests.builders import ESTIMATOR
from tests.ui.conftest import OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.services import Services
from triage_app.ui import photo_text
from triage_app.ui.navigation import Place


def taken(camera: str, at: str) -> bytes:
    tags = Image.Exif()
    tags[0x0110] = camera
    tags.get_ifd(0x8769)[0x9003] = at
    out = io.BytesIO()
    Image.effect_noise((1_200, 900), 90).convert("RGB").save(out, "JPEG", exif=tags)
    return out.getvalue()


@pytest.fixture
def two(shop: Services) -> Case:
    case = shop.intake.open_case(by=ESTIMATOR)
    for camera, at in (("Demo One", "2031:05:04 09:00:00"), ("Demo Two", "2031:05:04 09:30:00")):
        shop.intake.add_photo(case.id, taken(camera, at), file_name=f"{camera}.jpg", by=ESTIMATOR)
    return shop.cases.get(case.id)


def compare(open_page: OpenPage, case: Case, shown: str, really: str) -> str:
    tab = open_page(Place.INTAKE, case)
    entry(tab.text_input, photo_text.CLOCK_SHOWN).set_value(shown).run()
    entry(tab.text_input, photo_text.CLOCK_REALLY).set_value(really).run()
    return said(press(tab, photo_text.CLOCK_SAVE))


def test_the_photos_are_shown_in_their_real_order(
    open_page: OpenPage, shop: Services, two: Case
) -> None:
    compare(open_page, two, "2031-05-04 10:00", "2031-05-04 10:00+00:00")
    tab = open_page(Place.INTAKE, two)
    entry(tab.selectbox, photo_text.CLOCK_CAMERA).set_value("Demo One").run()
    entry(tab.text_input, photo_text.CLOCK_SHOWN).set_value("2031-05-04 09:00").run()
    entry(tab.text_input, photo_text.CLOCK_REALLY).set_value("2031-05-04 12:00+02:00").run()
    page = said(press(tab, photo_text.CLOCK_SAVE))
    assert photo_text.CLOCK_KEPT in page
    assert "taken 2031-05-04 10:00 UTC (camera clock corrected)" in page
    assert page.index("2 · Demo Two.jpg") < page.index("1 · Demo One.jpg")


def test_a_time_without_its_zone_is_refused(open_page: OpenPage, shop: Services, two: Case) -> None:
    assert "needs its time zone" in compare(open_page, two, "2031-05-04 10:00", "2031-05-04 10:00")
    assert "is not a time" in compare(open_page, two, "noon", "2031-05-04 10:00+00:00")
    assert shop.cases.get(two.id).clocks == ()
