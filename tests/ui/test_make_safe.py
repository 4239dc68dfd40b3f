"""Making safe on the page: one step at a time, refusals on the spot, the state never bare."""

from dataclasses import replace
from datetime import timedelta

import pytest
from streamlit.testing.v1 import AppTest

from tests.builders import NO_SIGNS, a_jpeg, an_estimator, some_tags
from tests.safing_records import GLOVES, SMALL_LAYOUT, a_step, a_temperature, whole_record
from tests.ui.conftest import Door, OpenPage, entry, press, said
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.safing.entries import (
    Happening,
    Keeping,
    LayoutChosen,
    StepDone,
    WatchSign,
)
from triage_app.domain.safing.layouts import HvUnit
from triage_app.domain.safing.photo_times import NONE_DURING
from triage_app.domain.safing.state import SafingState
from triage_app.domain.safing.steps import Step
from triage_app.domain.vehicle import Answer, Vehicle
from triage_app.services import Services
from triage_app.ui import gate_text
from triage_app.ui import safing_text as words
from triage_app.ui.navigation import Place

RITA = an_estimator("Rita Recorder")
RECORD = whole_record(["unit:battery_output"])


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def open_page(door: Door, open_page: OpenPage) -> OpenPage:
    """Return a way to open a page for a person who signs in anew: a record takes its time."""

    def open_one(place: Place = Place.CASES, case: Case | None = None) -> AppTest:
        door.sign_in()
        return open_page(place, case)

    return open_one


@pytest.fixture
def small(shop: Services, empty_case: Case) -> Case:
    shop.intake.describe_vehicle(empty_case.id, Vehicle(system_voltage_v=400.0), by=RITA)
    shop.intake.describe_incident(empty_case.id, NO_SIGNS, by=RITA)
    return shop.safing.record(empty_case.id, LayoutChosen(layout=SMALL_LAYOUT), by=RITA)


def recorded(shop: Services, case: Case, clock: TestClock, count: int = len(RECORD)) -> Case:
    for what in RECORD[:count]:
        clock.forward(timedelta(minutes=6))
        case = shop.safing.record(case.id, what, by=RITA)
    return case


def test_a_case_begins_with_the_makers_procedure(open_page: OpenPage, small: Case) -> None:
    page = said(open_page(Place.SAFE, small)).replace("&#x27;", "'")
    assert "Absence of voltage: NOT RECORDED" in page
    assert "Step 1 of 17: maker's procedure" in page
    assert "The battery itself remains energised." in page


def test_a_step_is_recorded_in_the_name_of_whoever_taps(
    open_page: OpenPage, shop: Services, small: Case
) -> None:
    tab = open_page(Place.SAFE, small)
    entry(tab.text_input, words.DOCUMENT).set_value("Invented HV manual")
    entry(tab.text_input, words.DOCUMENT_DATE).set_value("2030-04")
    entry(tab.number_input, words.DISCHARGE_MIN).set_value(5.0)
    press(tab, words.DONE)
    [_, stored] = shop.cases.get(small.id).safing
    assert stored.recorded.by == "Erin Estimator"
    assert "Step 2 of 17: area barred off" in said(tab)


def test_a_refusal_is_said_with_the_reason_and_stores_nothing(
    open_page: OpenPage, shop: Services, small: Case
) -> None:
    tab = open_page(Place.SAFE, small)
    entry(tab.text_input, words.DOCUMENT).set_value("Invented HV manual")
    entry(tab.text_input, words.DOCUMENT_DATE).set_value("2030-04")
    press(tab, words.DONE)
    assert "discharge time is not written down" in tab.error[0].value
    assert entry(tab.text_input, words.DOCUMENT).value == "Invented HV manual"
    assert len(shop.cases.get(small.id).safing) == 1


def test_a_voltage_that_was_not_read_is_not_zero(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    case = recorded(shop, small, clock, 16)
    tab = open_page(Place.SAFE, case)
    assert "First reading: battery output (2 readings left)" in said(tab)
    entry(tab.number_input, words.POLE_TO_POLE).set_value(0.0)
    press(tab, words.RECORD_READING)
    assert tab.error[0].value == words.NUMBERS_MISSING
    for label in (words.POSITIVE, words.NEGATIVE):
        entry(tab.number_input, label).set_value(0.0)
    press(tab, words.RECORD_READING)
    assert "zero on a live part" in tab.error[0].value
    entry(tab.checkbox, words.CONTACT).check()
    press(tab, words.RECORD_READING)
    assert "Second reading: battery output (1 reading left)" in said(tab)


def test_a_whole_record_is_shown_with_points_time_people_and_what_is_not_covered(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    page = said(open_page(Place.SAFE, recorded(shop, small, clock)))
    assert "Absence of voltage recorded at the points below" in page
    for told in ("battery output", "read by Rene Reader", "recorded by Rita Recorder"):
        assert told in page
    assert "Not covered:" in page
    assert "The battery itself remains energised." in page


@pytest.mark.parametrize("what", words.EVENTS)
def test_one_tap_voids_the_record_and_the_page_says_what_to_do(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock, what: Happening
) -> None:
    case = recorded(shop, small, clock)
    tab = press(open_page(Place.SAFE, case), words.EVENTS[what])
    page = said(tab)
    assert "The make-safe record is VOID" in page
    assert words.DO_NOW in page
    press(tab, words.BEGIN_AGAIN)
    assert "NOT RECORDED" in said(tab)
    assert shop.safing.status(shop.cases.get(case.id)).next_step is Step.MAKER_PROCEDURE


def test_a_void_record_covers_no_photo_of_a_finding(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    shop.intake.add_photo(small.id, a_jpeg(900, 600), file_name="under.jpg", by=RITA)
    photo = shop.cases.get(small.id).photos[0]
    scrape = some_tags("wheel_arch_liner", "scrape")
    shop.marking.mark(small.id, photo.id, rectangle(0.2, 0.2, 0.5, 0.5), by=RITA, tags=scrape)
    tab = open_page(Place.SAFE, recorded(shop, small, clock))
    assert NONE_DURING not in said(tab)
    press(tab, words.EVENTS[Happening.CHARGER_CONNECTED])
    assert NONE_DURING in said(tab)


def test_every_page_of_a_flagged_case_tells_the_state_of_the_record(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    case = recorded(shop, small, clock)
    case = shop.marking.add_finding(case.id, some_tags("hv_cable", "severed"), by=RITA)
    page = said(open_page(Place.TRIAGE, case))
    assert "Make-safe record: VOID, because a finding makes a test point that nobody read" in page


def test_a_temperature_is_recorded_and_a_rise_is_said(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    shop.safing.record(small.id, a_temperature(21.0), by=RITA)
    clock.forward(timedelta(minutes=30))
    tab = open_page(Place.SAFE, small)
    assert "OVERDUE" in said(tab)
    [field] = [one for one in tab.number_input if one.label == words.VALUE_C]
    field.set_value(23.0)
    press(tab, words.RECORD_TEMPERATURE)
    assert any("RISE of 2.0 °C" in str(warning.value) for warning in tab.warning)
    assert "OVERDUE" not in said(tab)


def test_isolation_shows_its_numbers_and_says_no_more_than_below_or_not(
    open_page: OpenPage, small: Case
) -> None:
    tab = open_page(Place.SAFE, small)
    values = {
        words.WORKING_V: 400.0,
        words.VB: 400.0,
        words.V1: 240.0,
        words.V2: 160.0,
        words.RESISTOR: 200_000.0,
        words.V_PRIME: 96.0,
    }
    for label, value in values.items():
        entry(tab.number_input, label).set_value(value)
    entry(tab.text_input, words.PROCEDURE).set_value("Invented manual 7-2")
    [field] = [one for one in tab.text_input if "-instrument" in str(one.key)]
    field.set_value("meter M-1")
    press(tab, words.RECORD_ISOLATION)
    page = said(tab).replace("&#x27;", "'")
    assert "not below the reference; compare the maker's value" in page
    assert "500000 ohm / 400 V = 1250 ohm/V" in page


def test_a_layout_with_a_unit_left_out_needs_a_document(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.SAFE, empty_case)
    assert entry(tab.checkbox, HvUnit.BATTERY_OUTPUT.value).disabled
    for unit in HvUnit:
        if unit is not HvUnit.BATTERY_OUTPUT:
            entry(tab.checkbox, unit.value).uncheck()
    press(tab, words.CHOOSE_LAYOUT)
    assert "which document of the maker shows" in tab.error[0].value
    entry(tab.text_input, words.LAYOUT_DOCUMENT).set_value("Layout sheet 3")
    press(tab, words.CHOOSE_LAYOUT)
    assert len(shop.safing.points(shop.cases.get(empty_case.id))) == 1


def test_what_somebody_else_recorded_first_is_said_and_nothing_is_stored_twice(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    case = recorded(shop, small, clock, 2)
    tab = open_page(Place.SAFE, case)
    shop.safing.record(case.id, a_step(Step.CHARGER_UNPLUGGED), by=RITA)
    press(tab, words.DONE)
    assert "Step 4 of 17" in said(tab)
    steps = [getattr(one.what, "step", None) for one in shop.cases.get(case.id).safing]
    assert steps.count(Step.CHARGER_UNPLUGGED) == 1
    assert Step.KEY_AWAY not in steps


def test_signed_out_nothing_is_stored(
    open_page: OpenPage, door: Door, shop: Services, small: Case
) -> None:
    tab = open_page(Place.SAFE, small)
    door.sign_out()
    press(tab, words.EVENTS[Happening.LOCK_REMOVED])
    assert len(shop.cases.get(small.id).safing) == 1
    assert shop.safing.status(small).state is SafingState.NOT_RECORDED


def test_what_does_not_count_is_shown_with_the_reason(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    case = recorded(shop, small, clock, RECORD.index(a_step(Step.PROTECTION)))
    worn = StepDone(step=Step.PROTECTION, protection=replace(GLOVES, glove_class="00"))
    clock.forward(timedelta(minutes=6))
    shop.safing.record(case.id, worn, by=RITA)
    assert words.LEFT_OUT not in labels_of(open_page(Place.SAFE, case))
    shop.intake.describe_vehicle(case.id, Vehicle(system_voltage_v=800.0), by=RITA)
    tab = open_page(Place.SAFE, case)
    assert f"{words.LEFT_OUT} (1)" in labels_of(tab)
    assert "gloves of class 00 end at 750 V DC and this car counts as 800 V" in said(tab)


def labels_of(tab: AppTest) -> str:
    return " ".join(one.label for one in tab.expander)


def test_the_watch_says_signs_and_that_the_car_is_not_kept_away(
    open_page: OpenPage, shop: Services, small: Case
) -> None:
    seen = replace(a_temperature(21.0), signs=(WatchSign.HISSING,))
    shop.safing.record(small.id, seen, by=RITA)
    tab = open_page(Place.SAFE, small)
    assert any("Hissing was noticed at" in one.value for one in tab.error)
    assert any("call the fire service" in one.value for one in tab.error)
    assert any("not known. Keep 15 m (50 ft) on every side" in one.value for one in tab.warning)
    shop.safing.record(small.id, replace(seen, signs=(), kept=Keeping.BARRIER), by=RITA)
    assert "barrier of concrete, steel, masonry or earth." in said(open_page(Place.SAFE, small))


def test_a_later_reading_above_the_limit_voids_the_record_and_says_so(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    case = recorded(shop, small, clock)
    tab = open_page(Place.SAFE, case)
    for label, volts in ((words.POLE_TO_POLE, 310.0), (words.POSITIVE, 0.0), (words.NEGATIVE, 0.0)):
        entry(tab.number_input, label).set_value(volts)
    entry(tab.checkbox, words.CONTACT).check()
    press(tab, words.RECORD_READING)
    assert shop.safing.status(shop.cases.get(small.id)).state is SafingState.VOID
    page = said(tab)
    assert "A reading is above the limit: battery output, 310 V DC" in page
    assert "Stop and step back; gloves stay on." in page
    assert words.DANGER in page


def test_a_car_that_is_held_outside_gets_no_step_that_reaches_in(
    open_page: OpenPage, shop: Services, small: Case, clock: TestClock
) -> None:
    recorded(shop, small, clock, count=6)
    shop.admission.answer(small.id, "smoke", Answer.UNKNOWN, by=RITA)
    page = said(open_page(Place.SAFE, small))
    assert gate_text.NOT_YET in page
    assert "Step 7 of 17" not in page
