"""How well a mark is seen, asked of the stored original at full size."""

import io

import numpy as np
import pytest
from PIL import Image

from tests.builders import ESTIMATOR, a_jpeg
from tests.unit.services.shop import a_shop
from triage_app.domain.errors import NotFoundError
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import MarkId

M1 = MarkId("M1")


def test_a_mark_is_judged_on_the_whole_photo_and_not_on_a_copy() -> None:
    """A line pattern of 4 px at 3,200 px is grey at any smaller size."""
    picture = np.full((2_400, 3_200, 3), 128, np.uint8)
    picture[:, ::4] = picture[:, 1::4] = 30
    picture[::4] = 220
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=95)
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    shop.intake.add_photo(case.id, out.getvalue(), file_name="a.jpg", by=ESTIMATOR)
    photo = shop.cases.get(case.id).photos[0]
    shop.marking.mark(case.id, photo.id, rectangle(0.4, 0.4, 0.6, 0.6), by=ESTIMATOR, mark_id=M1)
    quality = shop.photo_views.mark_quality(case.id, M1, by=ESTIMATOR)
    assert quality.longest_side_px == 640
    assert quality.blur_px is not None
    assert quality.blur_px < 1.5
    assert quality.complaints == ()


def test_a_mark_that_is_not_there_is_not_found() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    shop.intake.add_photo(case.id, a_jpeg(), file_name="a.jpg", by=ESTIMATOR)
    with pytest.raises(NotFoundError):
        shop.photo_views.mark_quality(case.id, M1, by=ESTIMATOR)
