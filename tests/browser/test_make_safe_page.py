"""The whole make-safe page on a tablet, by touch: from the last readings to void and begun again.

The entries before were made an hour ago, so that no wait of the maker's is sat through here.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.chromium import FLAGS
from tests.browser.screens.conftest import Screen
from tests.browser.screens.test_screens import MEASURE
from tests.builders import NO_SIGNS, an_estimator
from tests.safing_records import GLOVES, RECORDER, SMALL_LAYOUT, whole_record
from tests.ui.running import PATIENCE_S, Running, settings_of, started
from triage_app.bootstrap import open_services
from triage_app.domain.safing.entries import Entered, LayoutChosen, StepDone
from triage_app.domain.vehicle import Vehicle
from triage_app.services import Services
from triage_app.ui import safing_text as words

pytestmark = pytest.mark.browser

TABS = (
    words.TAB_RECORD,
    words.TAB_EVENT,
    words.TAB_WATCH,
    words.TAB_ISOLATION,
    words.TAB_POINTS,
)
LEFT_TO_DO = 2  # the second reading and the second proof
EVERY = timedelta(minutes=6)


def begun(services: Services) -> None:
    """Record everything up to the first reading, minutes ago by the real clock."""
    recorder = an_estimator(RECORDER)
    case = services.intake.open_case(by=recorder, reference="SAFE-1", incident=NO_SIGNS)
    services.intake.describe_vehicle(case.id, Vehicle(system_voltage_v=400.0), by=recorder)
    todo = [LayoutChosen(layout=SMALL_LAYOUT), *whole_record(["unit:battery_output"])[:-LEFT_TO_DO]]
    now = datetime.now(UTC)
    for before, what in zip(range(len(todo), 0, -1), todo, strict=True):
        services.safing.record(
            case.id, of_today(what, now), by=recorder, done_at=now - before * EVERY
        )


def of_today(what: Entered, now: datetime) -> Entered:
    """Return the step with gloves that are tested by today's date, not by that of the builders."""
    if not isinstance(what, StepDone) or what.protection is None:
        return what
    worn = replace(
        GLOVES,
        gloves_tested_on=now.date() - timedelta(days=40),
        gloves_issued_on=now.date() - timedelta(days=30),
    )
    return replace(what, protection=worn)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("make-safe")
    services = open_services(settings_of(folder))
    begun(services)
    services.close()
    process = started(folder)
    try:
        yield Running(process, folder / "log.txt")
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


@pytest.fixture
def tablet(server: Running, chromium_path: Path) -> Iterator[Screen]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
        size = {"width": 1024, "height": 768}
        page = browser.new_context(viewport=size, has_touch=True).new_page()  # type: ignore[arg-type]  # a plain dict will do
        page.set_default_timeout(30_000)
        screen = Screen(page, server)
        screen.sign_in(RECORDER)
        yield screen
        browser.close()


def test_the_second_person_keeps_the_record_by_touch(tablet: Screen) -> None:
    open_the_case(tablet)
    tablet.go("Make-safe record")
    read_the_last_point(tablet)
    prove_again(tablet)
    stands = box(tablet)
    assert "ABSENCE OF VOLTAGE RECORDED AT THE POINTS BELOW" in stands.upper()
    assert "battery output" in stands
    assert f"read by Rene Reader, recorded by {RECORDER}" in stands
    assert "Not covered: the battery, inside its enclosure" in stands
    assert "The battery itself remains energised." in stands
    each_tab_fits(tablet)
    take_a_temperature(tablet)
    something_happens(tablet)
    choose_another_layout(tablet)
    assert tablet.complaints == []
    assert tablet.asked_elsewhere == []


def open_the_case(tablet: Screen) -> None:
    tablet.page.get_by_role("button", name="SAFE-1").first.tap()
    tablet.settle()


def read_the_last_point(tablet: Screen) -> None:
    page = tablet.page
    page.get_by_text("Second reading: battery output (1 reading left)").wait_for()
    for label in (words.POLE_TO_POLE, words.POSITIVE, words.NEGATIVE):
        page.get_by_label(label, exact=True).fill("0")
    tap(tablet, words.RECORD_READING)
    # Without the probe contact it is refused, and what was entered stands.
    page.get_by_text("is not confirmed: a probe on paint").wait_for()
    assert page.get_by_label(words.POSITIVE, exact=True).input_value() == "0.00"
    page.get_by_text(words.CONTACT).tap()
    tap(tablet, words.RECORD_READING)


def prove_again(tablet: Screen) -> None:
    page = tablet.page
    page.get_by_text("Step 17 of 17: instrument proved again").wait_for()
    page.get_by_label(words.KNOWN_V, exact=True).fill("239")
    tap(tablet, words.DONE)


def each_tab_fits(tablet: Screen) -> None:
    for name in TABS:
        turn_to(tablet, name)
        for shortfall in ("cutOff", "smallTargets", "smallType"):
            assert tablet.page.evaluate(MEASURE, shortfall) == [], (name, shortfall)


def take_a_temperature(tablet: Screen) -> None:
    turn_to(tablet, words.TAB_WATCH)
    page = tablet.page
    page.get_by_text("OVERDUE: the next temperature was due at").wait_for()
    page.get_by_label(words.VALUE_C, exact=True).locator("visible=true").fill("24.5")
    page.get_by_text("15 m (50 ft) on every side").locator("visible=true").first.tap()
    tap(tablet, words.RECORD_TEMPERATURE)
    turn_to(tablet, words.TAB_WATCH)
    page.get_by_text("RISE of 0.5 °C: away from the car and watch").wait_for()
    plot = page.locator("img.ub-plot")
    assert plot.evaluate("picture => picture.naturalWidth") > 0


def something_happens(tablet: Screen) -> None:
    turn_to(tablet, words.TAB_EVENT)
    tap(tablet, "12 V connected again")
    void = box(tablet)
    assert "The make-safe record is VOID" in void
    assert "The 12 V supply was connected again" in void
    assert "What to do now: Stop work and keep hands off. Take the 12 V supply off again" in void
    tap(tablet, words.BEGIN_AGAIN)
    tablet.page.get_by_text("Step 1 of 17: maker's procedure").wait_for()
    assert "ABSENCE OF VOLTAGE: NOT RECORDED" in box(tablet).upper()


def choose_another_layout(tablet: Screen) -> None:
    turn_to(tablet, words.TAB_POINTS)
    page = tablet.page
    page.get_by_role("combobox", name=words.TEMPLATE).tap()
    page.get_by_role("option", name="one drive unit, front", exact=True).tap()
    tablet.settle()
    page.get_by_label(words.LAYOUT_DOCUMENT, exact=True).fill("Invented sheet 2")
    tap(tablet, words.CHOOSE_LAYOUT)
    turn_to(tablet, words.TAB_POINTS)
    points = page.locator(".ub-table").locator("visible=true").first.inner_text()
    assert "front drive unit" in points
    assert "rear drive unit" not in points
    assert points.count("not read") == 14


def box(tablet: Screen) -> str:
    return tablet.page.locator(".ub-safing").inner_text()


def turn_to(tablet: Screen, name: str) -> None:
    tablet.page.get_by_role("tab", name=name, exact=True).tap()
    tablet.settle()


def tap(tablet: Screen, name: str) -> None:
    tablet.page.get_by_role("button", name=name, exact=True).locator("visible=true").tap()
    tablet.settle()
