"""Every page starts, says what to do next, shows the HV notice, and keeps strangers out."""

import pytest

from tests.builders import ESTIMATOR
from tests.ui.conftest import Door, OpenPage, go_to, press, said
from triage_app.domain.case import Case
from triage_app.domain.vehicle import Vehicle
from triage_app.services import Services
from triage_app.ui import wiring
from triage_app.ui.navigation import Place

CASE_PAGES = (Place.INTAKE, Place.SAFE, Place.MARK, Place.TRIAGE, Place.REPORT)
CASES = ("empty_case", "case", "flagged")
NOTICE = (
    "DANGER",
    "HIGH VOLTAGE",
    "Follow the vehicle maker's procedure first",
    "A disconnected battery still holds its energy.",
    "Make-safe record: not recorded.",
)


@pytest.mark.parametrize("place", Place)
def test_each_page_starts_without_a_case_and_says_what_to_do_next(
    open_page: OpenPage, place: Place
) -> None:
    assert "**Next:**" in said(open_page(place))


@pytest.mark.parametrize("kind", CASES)
@pytest.mark.parametrize("place", Place)
def test_each_page_starts_with_a_case_and_says_what_to_do_next(
    open_page: OpenPage, request: pytest.FixtureRequest, place: Place, kind: str
) -> None:
    case: Case = request.getfixturevalue(kind)
    assert "**Next:**" in said(open_page(place, case))


@pytest.mark.parametrize("place", CASE_PAGES)
def test_the_notice_stands_on_every_page_of_a_flagged_case(
    open_page: OpenPage, flagged: Case, place: Place
) -> None:
    page = said(open_page(place, flagged)).replace("&#x27;", "'")
    for sentence in NOTICE:
        assert sentence in page
    assert "Flagged: finding" in page


@pytest.mark.parametrize("place", CASE_PAGES)
def test_a_case_without_a_flag_shows_no_notice(
    open_page: OpenPage, case: Case, place: Place
) -> None:
    assert "HIGH VOLTAGE" not in said(open_page(place, case))


@pytest.mark.parametrize("place", CASE_PAGES)
def test_signs_that_nobody_answered_stop_the_work_on_every_page(
    open_page: OpenPage, case: Case, place: Place
) -> None:
    assert "<b>STOP</b> <span>Held outside, unlifted" in said(open_page(place, case))


@pytest.mark.parametrize("place", Place)
def test_a_stranger_sees_the_way_in_and_nothing_of_any_case(
    open_page: OpenPage, door: Door, flagged: Case, place: Place
) -> None:
    door.token = None
    tab = open_page(place, flagged)
    page = said(tab)
    assert 'href="/sign-in"' in page
    assert flagged.reference not in page
    assert "<img" not in page
    assert not tab.button


def test_a_session_that_ends_shows_the_way_in_at_the_next_click(
    open_page: OpenPage, door: Door, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    door.sign_out()
    tab.run()
    assert 'href="/sign-in"' in said(tab)
    assert "HV cable" not in said(tab)


def test_a_click_of_somebody_who_is_signed_out_changes_nothing(
    open_page: OpenPage, door: Door, shop: Services, flagged: Case
) -> None:
    tab = open_page(Place.MARK, flagged)
    press(tab, "1 · HV cable · Severed")
    tab.radio[0].set_value("left").run()
    door.sign_out()
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id) == flagged


@pytest.mark.parametrize("place", CASE_PAGES)
def test_an_unknown_case_gets_one_sentence_and_the_way_to_the_list(
    open_page: OpenPage, place: Place
) -> None:
    tab = open_page(place, address={"case": "nowhere"})
    assert [error.value for error in tab.error] != []
    assert "choose a case" in said(tab)


@pytest.mark.parametrize("hostile", ["../../etc", "a b", "<script>", "x" * 65])
def test_an_address_that_cannot_name_a_case_counts_as_none(
    open_page: OpenPage, hostile: str
) -> None:
    tab = open_page(Place.TRIAGE, address={"case": hostile})
    assert "No case is open here." in said(tab)
    assert not tab.error


def test_the_case_is_remembered_when_a_page_link_drops_it_from_the_address(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    tab.query_params.clear()
    go_to(tab, Place.REPORT)
    assert tab.query_params["case"] == flagged.id
    assert f"Case {flagged.reference}" in said(tab)


def test_text_from_people_is_shown_and_never_run(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    hostile = '<img src=x onerror=alert(1)> & "quotes"'
    shop.intake.describe_vehicle(case.id, Vehicle(description=hostile), by=ESTIMATOR)
    for place in Place:
        tab = open_page(place, case)
        for html in tab.get("html"):
            assert "<img src=x" not in html.proto.body
        if place not in (Place.RULES, Place.PEOPLE, Place.SETTINGS):
            assert "&lt;img src=x onerror=alert(1)&gt;" in said(tab)


def test_a_page_says_who_is_signed_in_and_lets_them_out(open_page: OpenPage, case: Case) -> None:
    page = said(open_page(Place.REPORT, case))
    assert "Erin Estimator" in page
    assert 'action="/sign-out"' in page


def test_pages_that_were_started_without_the_server_say_so(open_page: OpenPage) -> None:
    wiring.uninstall()
    tab = open_page()
    assert [error.value for error in tab.error] == [
        "Start the program with 'underbody serve'; this page alone cannot run."
    ]
