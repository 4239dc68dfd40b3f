"""The underside map: what may be sent to it, and what the page then says."""

import pytest

from tests.builders import ESTIMATOR
from tests.ui.conftest import OpenPage, press, said
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.services import Services
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.plan_map import parsed_line


def test_a_drawn_line_is_read_and_off_is_none() -> None:
    assert parsed_line({"start": [0.4, 0], "end": [0.5, 1.0], "at": 1}) == ((0.4, 0.0), (0.5, 1.0))
    assert parsed_line({"off": True}) is None


@pytest.mark.parametrize(
    "value",
    [None, "off", {}, {"start": [0.1], "end": [0, 1]}, {"start": ["0", True], "end": [0, 1]}],
)
def test_anything_else_is_refused(value: object) -> None:
    with pytest.raises(InvalidInputError, match="draw it again"):
        parsed_line(value)


def test_the_page_says_who_has_no_place_and_what_lies_on_the_line(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    shop.photos.draw_impact_line(flagged.id, ((0.5, 0.0), (0.5, 1.0)), by=ESTIMATOR)
    told = said(open_page(Place.MARK, flagged))
    assert "Not on the map, because no zone is said yet: 1, 2." in told
    assert "Findings on the line of travel: none so far." in told


def test_a_photo_without_damage_is_said_so_in_one_tap(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    tab = open_page(Place.MARK, case)
    assert "Without a mark or a word: 1, 2" in said(tab)
    press(tab, "Nothing found here")
    assert "Without a mark or a word: 2" in said(tab)
    [first, second] = shop.cases.get(case.id).photos
    assert first.nothing_found is not None
    assert second.nothing_found is None
    press(tab, "Look here again")
    assert shop.cases.get(case.id).photos[0].nothing_found is None
