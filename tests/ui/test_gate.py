"""The gate: signs answered by tap in one's own name, a loud hold, a decision by a senior."""

import pytest
from streamlit.testing.v1 import AppTest

from tests.builders import an_estimator
from tests.ui.conftest import Door, OpenPage, entry, press, said
from triage_app.domain.admission.entries import Verdict
from triage_app.domain.case import Case
from triage_app.domain.permissions import Role
from triage_app.domain.vehicle import SIGNS, Answer
from triage_app.services import Services
from triage_app.ui import gate_text as words
from triage_app.ui.navigation import Place


def tap(tab: AppTest, sign: str, answer: Answer) -> AppTest:
    tab.button(key=f"gate-{sign}-{answer.name}").click().run()
    assert not tab.exception
    return tab


def test_a_new_case_is_held_and_every_page_says_so(open_page: OpenPage, empty_case: Case) -> None:
    page = said(open_page(Place.GATE, empty_case))
    assert "HELD OUTSIDE, UNLIFTED" in page
    assert "nobody answered it by name" in page
    for place in (Place.INTAKE, Place.MARK, Place.SAFE, Place.TRIAGE, Place.REPORT):
        assert words.HELD_SHORT in said(open_page(place, empty_case))


def test_a_tap_answers_in_the_name_of_whoever_is_signed_in(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.GATE, empty_case)
    entry(tab.text_input, words.NOTE).set_value("white smoke at the rear left")
    tap(tab, "smoke", Answer.YES)
    (given,) = shop.cases.get(empty_case.id).admission
    assert given.recorded.by == "Erin Estimator"
    assert "white smoke at the rear left" in said(tab)
    assert "Smoke: yes (Erin Estimator" in said(tab)


def test_no_to_every_sign_lifts_the_hold_and_says_nothing_about_the_battery(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = tap(open_page(Place.GATE, empty_case), "smoke", Answer.NO)
    tab = press(tab, words.REST_NO)
    assert len(shop.cases.get(empty_case.id).admission) == len(SIGNS)
    page = said(tab)
    assert "No sign on record" in page
    assert "says nothing about the battery" in page
    assert words.HELD_SHORT not in page
    assert not [one for one in tab.button if one.label == words.REST_NO]


def test_the_rest_answers_no_sign_that_somebody_answered(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = tap(open_page(Place.GATE, empty_case), "odour", Answer.YES)
    press(tab, words.REST_NO)
    assert shop.cases.get(empty_case.id).incident.odour is Answer.YES
    assert services_hold(shop, empty_case)


def services_hold(shop: Services, case: Case) -> bool:
    return shop.admission.status(shop.cases.get(case.id)).is_held


def test_a_senior_technician_decides_with_a_reason(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = press(open_page(Place.GATE, empty_case), words.DECIDE_SAVE)
    assert "Give the reason" in said(tab)
    assert services_hold(shop, empty_case)
    tab.radio[0].set_value(Verdict.ADMITTED)
    tab.text_area[0].set_value("Watched for an hour outside; invented.")
    tab = press(tab, words.DECIDE_SAVE)
    page = said(tab)
    assert "Admitted by decision" in page
    assert "Watched for an hour outside" in page
    assert not services_hold(shop, empty_case)


def test_a_new_yes_holds_the_car_again(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.GATE, empty_case)
    tab.radio[0].set_value(Verdict.ADMITTED)
    tab.text_area[0].set_value("Watched.")
    press(tab, words.DECIDE_SAVE)
    shop.admission.answer(empty_case.id, "hissing", Answer.YES, by=an_estimator("Sam Second"))
    assert "HELD OUTSIDE, UNLIFTED" in said(open_page(Place.GATE, empty_case))


@pytest.mark.parametrize("role", [Role.ESTIMATOR, Role.ADJUSTER])
def test_others_are_told_whose_decision_it_is(
    open_page: OpenPage, door: Door, empty_case: Case, role: Role
) -> None:
    door.sign_in(f"Olga {role.value.title()}", [role])
    tab = open_page(Place.GATE, empty_case)
    assert words.DECIDE_INTRO in said(tab)
    assert not [one for one in tab.button if one.label == words.DECIDE_SAVE]


def test_an_adjuster_answers_nothing(
    open_page: OpenPage, door: Door, shop: Services, empty_case: Case
) -> None:
    door.sign_in("Ida Insurer", [Role.ADJUSTER])
    tab = tap(open_page(Place.GATE, empty_case), "smoke", Answer.NO)
    assert "may not" in said(tab)
    assert shop.cases.get(empty_case.id).admission == ()
