"""Saying what an orange area is: kept with name and reason, and no flag goes."""

import io

import numpy as np
import pytest
from PIL import Image

from rules import HvFlag
from tests.builders import ESTIMATOR, FAR_FROM_HV, some_tags
from tests.ui.conftest import OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId
from triage_app.domain.proposals import Opinion
from triage_app.services import Services
from triage_app.ui import photo_text
from triage_app.ui.navigation import Place

F1 = FindingId("F1")


@pytest.fixture
def strip(shop: Services) -> Case:
    """Return a case with a photo of an orange strip and a far scrape marked beside it."""
    picture = np.full((1_000, 1_200, 3), 110, np.uint8)
    picture[480:520, 100:1_100] = (230, 110, 30)
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=95)
    case = shop.intake.open_case(by=ESTIMATOR)
    shop.intake.add_photo(case.id, out.getvalue(), file_name="strip.jpg", by=ESTIMATOR)
    photo = shop.cases.get(case.id).photos[0]
    tags = some_tags("wheel_arch_liner", "scrape", zone="rear_left", measures=FAR_FROM_HV)
    beside = rectangle(0.4, 0.42, 0.5, 0.46)
    return shop.marking.mark(case.id, photo.id, beside, by=ESTIMATOR, finding_id=F1, tags=tags).case


def test_an_area_is_taken_for_something_else_and_the_flag_stays(
    open_page: OpenPage, shop: Services, strip: Case
) -> None:
    tab = open_page(Place.MARK, strip)
    assert "nobody has said what it is" in said(tab)
    entry(tab.radio, "Area 1").set_value(Opinion.NO_CABLE).run()
    entry(tab.text_input, photo_text.ORANGE_REASON).set_value("A strap of the lift.").run()
    page = said(press(tab, photo_text.ORANGE_SAVE))
    assert "taken for something else by Erin Estimator: A strap of the lift." in page
    assert photo_text.ORANGE_KEPT in page
    after = shop.cases.get(strip.id)
    assert after.photos[0].orange_opinions[0].opinion is Opinion.NO_CABLE
    assert shop.triage.assess_case(after).of(F1).hv_flag is HvFlag.AT_HV


def test_an_opinion_without_a_reason_is_refused_and_nothing_is_stored(
    open_page: OpenPage, shop: Services, strip: Case
) -> None:
    page = said(press(open_page(Place.MARK, strip), photo_text.ORANGE_SAVE))
    assert "Say why" in page
    assert shop.cases.get(strip.id).photos[0].orange_opinions == ()
