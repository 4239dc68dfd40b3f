"""Tests on record: written down by one person, accepted by another, shown beside the hazard."""

from html import unescape

import pytest
from streamlit.testing.v1 import AppTest

from tests.builders import ESTIMATOR, some_tags
from tests.ui.conftest import Door, OpenPage, entry, has_button, press, said
from triage_app.domain.case import Case
from triage_app.domain.evidence_standing import Standing
from triage_app.services import Services
from triage_app.ui import evidence_text as text
from triage_app.ui.navigation import Place

REVIEWER = "Sam Senior"


def opened(open_page: OpenPage, case: Case, whose: str = "F1") -> AppTest:
    tab = open_page(Place.TRIAGE, case)
    tab.button(key=f"panel-EVIDENCE-{whose}").click().run()
    assert not tab.exception
    return tab


def page(tab: AppTest) -> str:
    return unescape(said(tab))


def record_part_replaced(tab: AppTest) -> None:
    entry(tab.radio, text.KIND).set_value("part replaced").run()
    entry(tab.text_area, text.NOTE).set_value("New cable, sealed connectors.")
    press(tab, text.SAVE)


@pytest.fixture
def on_record(open_page: OpenPage, shop: Services, flagged: Case) -> Case:
    record_part_replaced(opened(open_page, flagged))
    return shop.cases.get(flagged.id)


def test_outstanding_tests_are_listed_with_who_does_them(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    html = page(opened(open_page, flagged))
    for test in shop.triage.assess(flagged.id, by=ESTIMATOR).of("F1").open_tests:
        assert f"{test.text} By: {test.by}." in html


def test_whoever_judges_isolation_is_told_which_islands_nobody_measured(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = opened(open_page, flagged)
    told = [each.value for each in tab.warning if "island by island" in each.value]
    assert told
    assert "end away from the battery" in told[0]


def test_a_result_is_written_down_with_value_instrument_and_criterion(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = opened(open_page, flagged)
    entry(tab.selectbox, text.TEST).set_value("isolation_resistance")
    entry(tab.radio, text.OUTCOME).set_value("criterion met")
    entry(tab.number_input, text.VALUE_FIELD).set_value(2.4)
    for label, value in (
        (text.UNIT, "megohm"),
        (text.INSTRUMENT_FIELD, "Insulation tester"),
        (text.SERIAL, "T-1"),
        (text.CRITERION_FIELD, "at least what table 3 says"),
        (text.DOCUMENT, "WM-12"),
        (text.DOCUMENT_DATE, "2031-01"),
    ):
        entry(tab.text_input, label).set_value(value)
    press(tab, text.SAVE)
    assert text.SAVED in said(tab)
    [record] = shop.cases.get(flagged.id).evidence
    assert record.recorded.by == ESTIMATOR.name
    assert (record.finding_id, record.entry.test) == ("F1", "isolation_resistance")
    assert (record.entry.value, record.entry.unit) == (2.4, "megohm")
    assert record.entry.criterion is not None
    html = page(tab)
    assert "2.4 megohm" in html
    assert "at least what table 3 says (WM-12, 2031-01)" in html
    assert text.STANDINGS[Standing.WAITING] in html


def test_a_value_without_its_unit_is_refused_and_the_entry_stays(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = opened(open_page, flagged)
    entry(tab.number_input, text.VALUE_FIELD).set_value(2.4)
    press(tab, text.SAVE)
    assert "Give the unit" in tab.error[0].value
    assert entry(tab.number_input, text.VALUE_FIELD).value == 2.4
    assert shop.cases.get(flagged.id).evidence == ()


def test_who_recorded_it_cannot_accept_it(open_page: OpenPage, on_record: Case) -> None:
    tab = opened(open_page, on_record)
    assert text.OWN_RECORD in said(tab)
    assert not has_button(tab, text.ACCEPT)
    assert not has_button(tab, text.DECLINE)


def test_another_person_accepts_it_and_what_remains_stands_beside_the_hazard(
    open_page: OpenPage, door: Door, shop: Services, on_record: Case
) -> None:
    door.sign_in(REVIEWER)
    tab = opened(open_page, on_record)
    press(tab, text.ACCEPT)
    html = page(tab)
    assert text.STANDINGS[Standing.COUNTS] in html
    assert f"accepted by {REVIEWER}" in html
    assert text.REMAINS_NO_RELEASE in html
    answer = shop.triage.assess(on_record.id, by=ESTIMATOR).of("F1")
    assert answer.residual is not None
    assert answer.risk.name == "HIGH", "the hazard now is what it was"
    for test in answer.residual.open_tests:
        assert test.text in html


def test_a_record_is_declined_with_a_reason_only(
    open_page: OpenPage, door: Door, shop: Services, on_record: Case
) -> None:
    door.sign_in(REVIEWER)
    tab = opened(open_page, on_record)
    press(tab, text.DECLINE)
    assert text.REASON_NEEDED in tab.error[0].value
    entry(tab.text_input, text.REASON).set_value("No picture of the new part.")
    press(tab, text.DECLINE)
    assert f"declined by {REVIEWER}" in page(tab)
    assert "No picture of the new part." in page(tab)
    assert shop.triage.assess(on_record.id, by=ESTIMATOR).of("F1").residual is None


def test_a_finding_changed_afterwards_makes_an_accepted_record_not_current(
    open_page: OpenPage, door: Door, shop: Services, on_record: Case
) -> None:
    door.sign_in(REVIEWER)
    press(opened(open_page, on_record), text.ACCEPT)
    finding = shop.cases.get(on_record.id).findings[0]
    shop.marking.tag(
        on_record.id,
        finding.id,
        some_tags("hv_cable", "burn_or_arc_mark"),
        expected_revision=finding.revision,
        by=ESTIMATOR,
    )
    html = page(opened(open_page, on_record))
    assert text.STANDINGS[Standing.NOT_CURRENT] in html
    assert text.REMAINS_NOTHING in html


def test_a_test_of_the_whole_car_is_recorded_under_the_case(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = opened(open_page, flagged, "car")
    assert not [radio for radio in tab.radio if radio.label == text.KIND]
    entry(tab.selectbox, text.TEST).set_value("isolation_resistance")
    press(tab, text.SAVE)
    [record] = shop.cases.get(flagged.id).evidence
    assert record.finding_id is None
    assert [one.finding_id for one in record.seen] == ["F1", "F2"]


def test_the_form_says_when_the_finding_was_changed_under_it(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = opened(open_page, flagged)
    finding = flagged.findings[0]
    shop.marking.tag(
        flagged.id,
        finding.id,
        some_tags("hv_cable", "gouge"),
        expected_revision=finding.revision,
        by=ESTIMATOR,
    )
    tab.run()
    assert text.FINDING_CHANGED in [warning.value for warning in tab.warning]
    press(tab, text.SAVE)
    [record] = shop.cases.get(flagged.id).evidence
    assert record.seen[0].revision == finding.revision


def test_no_sentence_of_the_panel_says_that_anything_is_safe() -> None:
    said_here = " ".join(str(value) for name, value in vars(text).items() if name.isupper()).lower()
    assert " safe" not in said_here
    assert "pass" not in said_here
