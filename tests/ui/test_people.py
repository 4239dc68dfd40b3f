"""Accounts and sessions on the pages: who sees what, and what stops at the next run."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import ESTIMATOR
from tests.people import ADMINISTRATOR, HERE, PASSWORD, a_person, signed_in
from tests.ui.conftest import Door, OpenPage, entry, has_button, press, render, said
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.case import Case
from triage_app.domain.permissions import Role
from triage_app.services import Services
from triage_app.ui import people_text as text
from triage_app.ui import wiring
from triage_app.ui.navigation import Place


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def door(shop: Services) -> Iterator[Door]:
    door = Door(shop)
    door.sign_in()
    wiring.install(wiring.Wiring(services=shop, render_report=render, token=lambda: door.token))
    yield door
    wiring.uninstall()


def test_an_idle_page_shows_the_lock_and_nothing_of_the_case(
    open_page: OpenPage, clock: TestClock, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    clock.forward(timedelta(minutes=11))
    tab.run()
    assert "Erin Estimator was away for a while" in said(tab)
    assert flagged.reference not in said(tab)
    assert not tab.button


def test_a_page_left_running_does_not_keep_itself_awake(
    open_page: OpenPage, clock: TestClock, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    for _ in range(4):
        clock.forward(timedelta(minutes=11))
        tab.run()
        assert flagged.reference not in said(tab)


def test_the_password_goes_on_at_the_same_place_with_what_was_entered(
    open_page: OpenPage, door: Door, shop: Services, clock: TestClock, flagged: Case
) -> None:
    tab = open_page(Place.MARK, flagged)
    press(tab, "1 · HV cable · Severed")
    tab.radio[0].set_value("left").run()
    clock.forward(timedelta(minutes=11))
    tab.run()
    shop.sign_in.unlock(door.token, password=PASSWORD, caller=HERE)
    tab.run()
    assert tab.radio[0].value == "left"
    assert has_button(tab, "Save this finding")


def test_a_click_on_a_locked_page_changes_nothing(
    open_page: OpenPage, shop: Services, clock: TestClock, flagged: Case
) -> None:
    tab = open_page(Place.MARK, flagged)
    press(tab, "1 · HV cable · Severed")
    tab.radio[0].set_value("left").run()
    clock.forward(timedelta(minutes=11))
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id) == flagged


def test_a_session_ended_by_an_administrator_stops_at_the_next_run(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    erin = shop.people.called("erin", by=ADMINISTRATOR)
    assert shop.people.end_sessions(erin.id, by=ADMINISTRATOR) == 1
    tab.run()
    assert 'href="/sign-in"' in said(tab)
    assert flagged.reference not in said(tab)


def test_a_role_taken_away_is_gone_at_the_next_click(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = open_page(Place.MARK, flagged)
    press(tab, "1 · HV cable · Severed")
    tab.radio[0].set_value("left").run()
    erin = shop.people.called("erin", by=ADMINISTRATOR)
    a_person(shop, "Ana Admin", [Role.ADMINISTRATOR])
    shop.people.set_roles(erin.id, [Role.ADJUSTER], by=ADMINISTRATOR)
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id) == flagged
    assert "may not mark, tag or withdraw damage" in said(tab)


def test_whoever_takes_a_tab_over_saves_nothing_that_the_other_had_entered(
    open_page: OpenPage, door: Door, shop: Services, flagged: Case
) -> None:
    """A tab that lost its connection comes back with the cookie of whoever is signed in then."""
    tab = open_page(Place.MARK, flagged)
    press(tab, "1 · HV cable · Severed")
    tab.radio[0].set_value("left").run()
    door.sign_in("Sam Senior")
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id) == flagged
    tab.run()
    assert "Sam Senior" in said(tab)
    assert not has_button(tab, "Save this finding")


@pytest.mark.parametrize("place", [place for place in Place if place is not Place.SETTINGS])
def test_an_adjuster_is_told_on_every_page_that_it_is_read_only(
    open_page: OpenPage, door: Door, flagged: Case, place: Place
) -> None:
    door.sign_in("Ida Insurer", [Role.ADJUSTER])
    page = said(open_page(place, flagged))
    if place is Place.PEOPLE:
        assert text.PEOPLE_NOT_YOURS in page
    else:
        assert "Read only.</b> Ida Insurer, adjuster (reads only), may look at every case" in page


def test_who_may_change_cases_is_not_told_so(open_page: OpenPage, flagged: Case) -> None:
    assert "Read only." not in said(open_page(Place.TRIAGE, flagged))


def test_an_adjuster_who_presses_a_button_is_refused_with_a_sentence(
    open_page: OpenPage, door: Door, shop: Services, case: Case
) -> None:
    door.sign_in("Ida Insurer", [Role.ADJUSTER])
    tab = open_page(Place.INTAKE, case)
    press(tab, "Save the car")
    assert "may not open a case or describe its vehicle" in said(tab)
    assert shop.cases.get(case.id) == case


# The page of people -------------------------------------------------------------------------------


def test_an_administrator_adds_a_person_and_is_shown_the_first_password_once(
    open_page: OpenPage, shop: Services
) -> None:
    tab = open_page(Place.PEOPLE)
    entry(tab.text_input, text.FULL_NAME).set_value("Sam Senior")
    tab.multiselect[0].set_value([Role.SENIOR_TECHNICIAN])
    press(tab, text.ADD)
    shown = re.search(r"first password (\S+)", said(tab))
    assert shown
    token = shop.sign_in.sign_in(
        name="sam", password=shown.group(1), own="four quite odd words", caller=HERE
    )
    operator = shop.sign_in.who(token)
    assert operator is not None
    assert operator.roles == {Role.SENIOR_TECHNICIAN}
    tab.run()
    assert shown.group(1) not in said(tab)


def test_a_second_account_of_the_same_person_is_refused_on_the_page(
    open_page: OpenPage, shop: Services
) -> None:
    tab = open_page(Place.PEOPLE)
    entry(tab.text_input, text.FULL_NAME).set_value("ESTIMATOR, Érin")
    tab.multiselect[0].set_value([Role.SENIOR_TECHNICIAN])
    press(tab, text.ADD)
    assert "There is an account of Erin Estimator already" in tab.error[0].value
    assert len(shop.people.all(by=ADMINISTRATOR)) == 1


def test_roles_are_changed_and_an_account_disabled_and_enabled_on_the_page(
    open_page: OpenPage, shop: Services
) -> None:
    sam = a_person(shop, "Sam Senior", [Role.SENIOR_TECHNICIAN])
    tab = open_page(Place.PEOPLE)
    [roles] = [one for one in tab.multiselect if one.value == [Role.SENIOR_TECHNICIAN]]
    roles.set_value([Role.SENIOR_TECHNICIAN, Role.ESTIMATOR])
    press(tab, text.SAVE_ROLES, at=1)
    press(tab, text.DISABLE, at=1)
    assert text.disabled("Sam Senior") in said(tab)
    stored = shop.people.called("sam", by=ADMINISTRATOR)
    assert stored.roles == {Role.SENIOR_TECHNICIAN, Role.ESTIMATOR}
    assert stored.disabled is not None
    press(tab, text.ENABLE)
    assert shop.people.called("sam", by=ADMINISTRATOR) == replace(stored, disabled=None)
    assert sam.id == stored.id


def test_the_last_administrator_cannot_disable_themselves_on_the_page(
    open_page: OpenPage, shop: Services
) -> None:
    tab = open_page(Place.PEOPLE)
    press(tab, text.DISABLE)
    assert "last administrator" in tab.error[0].value
    assert shop.people.called("erin", by=ADMINISTRATOR).disabled is None


def test_a_person_is_signed_out_everywhere_on_the_page(open_page: OpenPage, shop: Services) -> None:
    token = signed_in(shop, "Sam Senior", [Role.SENIOR_TECHNICIAN])
    tab = open_page(Place.PEOPLE)
    press(tab, text.END_SESSIONS, at=1)
    assert shop.sign_in.who(token) is None
    assert text.ended("Sam Senior", 1) in said(tab)


def test_an_estimator_gets_no_list_of_people(open_page: OpenPage, door: Door) -> None:
    door.sign_in("Sam Senior")
    door.sign_in("Eli Other", [Role.ESTIMATOR])
    tab = open_page(Place.PEOPLE)
    assert "Sam Senior" not in said(tab)
    assert not tab.button


def test_settings_are_changed_by_an_administrator(open_page: OpenPage, shop: Services) -> None:
    tab = open_page(Place.SETTINGS)
    tab.checkbox[0].set_value(False)
    entry(tab.number_input, text.IDLE_MINUTES).set_value(3)
    press(tab, text.SAVE_SETTINGS)
    settings = shop.shop_settings.now()
    assert (settings.second_person_clears, settings.idle_minutes) == (False, 3)
    assert settings.changed is not None
    assert f"Last changed by {ESTIMATOR.name}" in said(tab)


def test_others_read_the_settings_and_change_none(open_page: OpenPage, door: Door) -> None:
    door.sign_in("Eli Other", [Role.ESTIMATOR])
    tab = open_page(Place.SETTINGS)
    assert tab.checkbox[0].disabled
    assert not has_button(tab, text.SAVE_SETTINGS)
