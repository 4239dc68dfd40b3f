"""The list of cases, and opening one."""

import pytest

from tests.builders import ESTIMATOR
from tests.ui.conftest import OpenPage, go_to, has_button, press, said
from triage_app.domain.case import Case
from triage_app.domain.vehicle import Vehicle
from triage_app.services import Services
from triage_app.ui.navigation import Place


def test_a_newcomer_is_told_to_start_the_first_case(open_page: OpenPage) -> None:
    assert "start the first case" in said(open_page())


def test_a_new_case_gets_a_number_and_leads_to_its_intake(
    open_page: OpenPage, shop: Services
) -> None:
    tab = open_page()
    tab.text_input[0].set_value("Grey hatchback")
    press(tab, "Open the new case")
    [summary] = shop.cases.summaries()
    assert (summary.reference, summary.vehicle) == ("2031-0001", "Grey hatchback")
    assert tab.title[0].value == "Intake and photos"
    assert tab.query_params["case"] == summary.case_id


def test_a_reference_that_is_taken_is_refused_and_the_entry_stays(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page()
    tab.text_input[0].set_value("Another car")
    tab.text_input[1].set_value(empty_case.reference)
    press(tab, "Open the new case")
    assert len(tab.error) == 1
    assert empty_case.reference in tab.error[0].value
    assert tab.text_input[0].value == "Another car"
    assert shop.cases.count() == 1


def test_after_a_refusal_the_case_can_be_opened_under_another_reference(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page()
    tab.text_input[1].set_value(empty_case.reference)
    press(tab, "Open the new case")
    tab.text_input[1].set_value("R-2")
    press(tab, "Open the new case")
    assert {summary.reference for summary in shop.cases.summaries()} == {"R-1", "R-2"}


def test_two_cases_in_a_row_from_one_tab_are_two_cases(open_page: OpenPage, shop: Services) -> None:
    tab = open_page()
    press(tab, "Open the new case")
    press(go_to(tab, Place.CASES), "Open the new case")
    assert shop.cases.count() == 2


def test_a_case_without_a_finding_is_called_not_assessed(
    open_page: OpenPage, empty_case: Case
) -> None:
    page = said(open_page())
    assert "Not assessed" in page
    assert "Low" not in page
    assert empty_case.reference in page


def test_a_flagged_case_shows_its_risk_and_flag_in_words(
    open_page: OpenPage, flagged: Case
) -> None:
    page = said(open_page())
    assert "<b>High</b>" in page
    assert "<b>At high voltage</b>" in page
    assert f"{len(flagged.photos)} photos · 2 findings" in page


@pytest.mark.parametrize(
    ("kind", "title"), [("empty_case", "Intake and photos"), ("flagged", None)]
)
def test_opening_a_case_leads_to_where_its_work_goes_on(
    open_page: OpenPage, request: pytest.FixtureRequest, kind: str, title: str | None
) -> None:
    case: Case = request.getfixturevalue(kind)
    tab = press(open_page(), f"Open {case.reference}")
    assert tab.query_params["case"] == case.id
    if title:
        assert tab.title[0].value == title
    else:
        assert has_button(tab, "Next ▶")


def test_search_finds_by_reference_and_vehicle_and_says_when_nothing_fits(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    shop.intake.open_case(by=ESTIMATOR, reference="R-2", vehicle=Vehicle(description="Blue van"))
    tab = open_page()
    tab.text_input(key="case-search").set_value("blue").run()
    assert has_button(tab, "Open R-2")
    assert not has_button(tab, f"Open {empty_case.reference}")
    tab.text_input(key="case-search").set_value("lorry").run()
    assert "No case has “lorry”" in said(tab)


def test_a_long_list_is_shown_in_parts(open_page: OpenPage, shop: Services) -> None:
    for number in range(30):
        shop.intake.open_case(by=ESTIMATOR, reference=f"L-{number}")
    tab = open_page()
    assert "25 of 30 cases" in said(tab)
    press(tab, "Show more")
    assert "30 of 30 cases" in said(tab)
    assert not has_button(tab, "Show more")


def test_the_demo_case_says_that_it_is_invented(open_page: OpenPage, shop: Services) -> None:
    shop.intake.open_case(by=ESTIMATOR, reference="DEMO-0001")
    assert "Demo: all of it is invented" in said(open_page())
