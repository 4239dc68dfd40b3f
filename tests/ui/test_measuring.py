"""The panel that measures: no number before the print is measured, none over a typed one."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from streamlit.testing.v1 import AppTest

from tests.builders import ESTIMATOR
from tests.ui.conftest import OpenPage, entry, press, said
from tests.unit.services.test_measuring import marked_case
from triage_app.domain.case import Case
from triage_app.domain.ids import FindingId
from triage_app.domain.measuring import Size
from triage_app.domain.safing.state import SafingState
from triage_app.domain.scale import CardKind
from triage_app.services import Services
from triage_app.ui import measure_text
from triage_app.ui.navigation import Place

F1 = FindingId("F1")
BEHIND = "The damage lies behind the card's plane by at most (mm; 0: same surface)"


def _measuring(open_page: OpenPage, case: Case) -> AppTest:
    tab = press(open_page(Place.MARK, case), "1 · Battery enclosure · Scrape")
    tab.toggle[0].set_value(True).run()
    assert not tab.exception
    return tab


def test_until_the_print_is_measured_the_panel_says_so(open_page: OpenPage, shop: Services) -> None:
    case, _ = marked_case(shop)
    tab = _measuring(open_page, case)
    assert "has not been measured yet" in said(tab)
    assert " mm**" not in said(tab)
    entry(tab.number_input, "Black square of the square card (about 60 mm)").set_value(60.0).run()
    press(tab, "Save what the prints measure")
    assert shop.scale_records.card_sides()[CardKind.SQUARE].side_mm == 60.0
    assert "Length: **3" in said(tab)


def test_sizes_are_used_once_the_depth_is_said(open_page: OpenPage, shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, _ = marked_case(shop)
    tab = _measuring(open_page, case)
    assert entry(tab.button, "Use length and width").disabled
    entry(tab.number_input, BEHIND).set_value(0.0).run()
    press(tab, "Use length and width")
    measures = shop.cases.get(case.id).finding(F1).tags.measures
    assert measures.length_mm == pytest.approx(310, rel=0.02)
    assert measures.source_of(Size.LENGTH) is not None
    assert "on record with their photo" in said(tab)


def test_a_typed_length_stays_until_its_box_is_ticked(open_page: OpenPage, shop: Services) -> None:
    shop.scale_records.record_card_side(CardKind.SQUARE, 60.0, by=ESTIMATOR)
    case, _ = marked_case(shop)
    tab = _measuring(open_page, case)
    entry(tab.number_input, "Length").set_value(300.0).run()
    press(tab, "Save this finding")
    entry(tab.number_input, BEHIND).set_value(0.0).run()
    assert entry(tab.button, "Use length and width").disabled
    entry(tab.checkbox, "Replace what was typed: length").check().run()
    press(tab, "Use length and width")
    measures = shop.cases.get(case.id).finding(F1).tags.measures
    assert measures.length_mm == pytest.approx(310, rel=0.02)


def test_the_panel_says_when_a_card_may_be_laid(open_page: OpenPage, shop: Services) -> None:
    case, _ = marked_case(shop)
    tab = _measuring(open_page, case)
    assert "laid only after the make-safe record stands" in said(tab)
    assert measure_text.NO_RECORD in said(tab)


def test_a_photo_is_told_against_the_record(shop: Services) -> None:
    none = shop.safing.status(marked_case(shop)[0])
    stood = datetime(2026, 3, 2, 12, tzinfo=UTC)
    second = timedelta(seconds=1)
    stands = replace(none, state=SafingState.RECORDED, stands_since=stood)
    void = replace(stands, state=SafingState.VOID)
    told = measure_text.against_record
    assert told(stood - second, stands) == measure_text.BEFORE_RECORD
    assert told(None, stands) == measure_text.TIME_UNKNOWN
    assert told(stood + second, stands) == ""
    assert told(stood + second, none) == measure_text.NO_RECORD
    assert told(stood + second, void) == measure_text.NO_RECORD
