"""What if: compared side by side, with the reasons, and nothing of it is kept."""

import re
from html import unescape

import pytest
from streamlit.testing.v1 import AppTest

from tests.ui.conftest import OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.services import Services
from triage_app.ui import what_if_text as text
from triage_app.ui.navigation import Place
from triage_app.ui.what_if_text import Fact


@pytest.fixture
def tab(open_page: OpenPage, flagged: Case) -> AppTest:
    """Return the triage page with the panel of the scrape (finding 2) open."""
    tab = open_page(Place.TRIAGE, flagged)
    tab.button(key="panel-WHAT_IF-F2").click().run()
    return tab


def suppose(tab: AppTest, fact: Fact) -> AppTest:
    entry(tab.selectbox, text.SUPPOSE).set_value(fact).run()
    assert not tab.exception
    return tab


def row(tab: AppTest, answer: str) -> list[str]:
    """Return the cells of one row of the comparison, without markup."""
    compared = unescape(said(tab)).partition("ub-compare")[2].partition("</table>")[0]
    [found] = re.findall(rf"<th>{answer}</th>(.*?)</tr>", compared)
    return [re.sub(r"<[^>]+>", "", cell) for cell in re.findall(r"<td>(.*?)</td>", found)]


def test_another_damage_is_compared_and_nothing_is_stored(
    tab: AppTest, shop: Services, flagged: Case
) -> None:
    assert text.NOT_ENTERED in said(tab)
    entry(tab.selectbox, "Kind of damage").set_value("burn_or_arc_mark").run()
    before, after = row(tab, "Hazard now")
    assert before == "Low"
    assert after == "High ▲ worse"
    assert "CON-004" in said(tab), "the rule that then fires is named"
    assert shop.cases.get(flagged.id) == flagged
    assert text.MEANS in unescape(said(tab))


def test_reset_goes_back_to_what_is_stored(tab: AppTest) -> None:
    entry(tab.selectbox, "Kind of damage").set_value("burn_or_arc_mark").run()
    press(tab, text.RESET)
    assert entry(tab.selectbox, "Kind of damage").value == "scrape"
    assert text.NOT_ENTERED in said(tab)


def test_a_distance_alone_changes_nothing_and_says_what_it_needs(tab: AppTest) -> None:
    suppose(tab, Fact.DISTANCE)
    assert text.NEEDS_THREE in said(tab)
    entry(tab.number_input, "Distance to the nearest high-voltage part (mm)").set_value(5000).run()
    assert "milder" not in said(tab)


def test_what_it_would_change_elsewhere_is_said(open_page: OpenPage, withdrawable: Case) -> None:
    tab = open_page(Place.TRIAGE, withdrawable)
    tab.button(key="panel-WHAT_IF-F1").click().run()
    entry(tab.selectbox, "Kind of damage").set_value("scrape").run()
    assert "It would also change: 2 · Wheel-arch liner · Scrape" in unescape(said(tab))


def test_a_test_result_leaves_the_hazard_and_the_flag_as_they_are(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    tab.button(key="panel-WHAT_IF-F1").click().run()
    suppose(tab, Fact.TEST)
    before, after = row(tab, "Hazard now")
    assert before == after == "High"
    assert row(tab, "High voltage") == ["At high voltage", "At high voltage"]
    assert row(tab, "What remains after accepted records")[0] == text.NONE


def test_a_voltage_that_no_car_has_is_refused_in_a_sentence(tab: AppTest) -> None:
    suppose(tab, Fact.CAR)
    entry(tab.number_input, text.VOLTAGE).set_value(99_000).run()
    assert not tab.exception
    assert any("voltage" in error.value for error in tab.error)


def test_only_one_panel_is_open_and_a_second_tap_closes_it(tab: AppTest) -> None:
    tab.button(key="panel-EVIDENCE-F1").click().run()
    assert text.TITLE not in said(tab)
    tab.button(key="panel-EVIDENCE-F1").click().run()
    assert not [button for button in tab.button if button.label == "Put it on record"]
