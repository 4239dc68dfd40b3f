"""The answers: worst first, hazard and repair apart, every reason and source in view."""

from html import unescape

from tests.builders import ESTIMATOR
from tests.ui.conftest import OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.services import Services
from triage_app.ui.navigation import Place


def test_the_worst_finding_comes_first(open_page: OpenPage, flagged: Case) -> None:
    titles = [title.value for title in open_page(Place.TRIAGE, flagged).subheader]
    assert titles == ["This case", "1 · HV cable · Severed", "2 · Wheel-arch liner · Scrape"]


def test_hazard_now_and_repair_needed_are_two_answers(open_page: OpenPage, flagged: Case) -> None:
    page = said(open_page(Place.TRIAGE, flagged))
    assert "<b>Hazard now</b> (to people, until it is made safe and tested)" in page
    assert "<b>Repair needed</b> (what the part itself needs)" in page


def test_every_reason_and_its_source_with_its_status_can_be_read(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    page = said(open_page(Place.TRIAGE, flagged)).replace("&#x27;", "'")
    answer = shop.triage.assess(flagged.id, by=ESTIMATOR).of("F1")
    assert answer.hv_reasons
    for reason in (*answer.hv_reasons, *answer.reasons):
        assert reason.because in page
        assert f"<code>{reason.rule_id}</code></a>" in page
        for fact in reason.facts:
            assert fact in page
        for cited in reason.citations:
            assert f"{cited.says} [{cited.status.value}]" in page
    for action in answer.actions:
        assert action.text in page
    for test in answer.open_tests:
        assert test.text in page


def test_a_finding_is_shown_close_up_by_our_own_checked_address(
    open_page: OpenPage, flagged: Case
) -> None:
    page = said(open_page(Place.TRIAGE, flagged))
    assert f'src="/pictures/{flagged.id}/{flagged.photos[0].id}?side=2048"' in page
    assert "/media/" not in page


def test_show_on_the_photo_leads_to_that_finding(open_page: OpenPage, flagged: Case) -> None:
    tab = open_page(Place.TRIAGE, flagged)
    tab.button(key="edit-F2").click().run()
    assert not tab.exception
    assert "Photo 2 of 2" in said(tab)
    assert "2 · Wheel-arch liner · Scrape" in [title.value for title in tab.subheader]


def test_a_case_without_findings_is_not_assessed(open_page: OpenPage, case: Case) -> None:
    page = said(open_page(Place.TRIAGE, case))
    assert "Not assessed" in page
    assert "without findings nothing can be assessed" in page


def test_a_withdrawn_finding_is_not_in_the_answer(
    open_page: OpenPage, shop: Services, withdrawable: Case
) -> None:
    tab = press(open_page(Place.MARK, withdrawable), "2 · Wheel-arch liner · Scrape")
    entry(tab.text_input, "Why this finding no longer counts").set_value("dirt")
    press(tab, "Withdraw this finding")
    page = said(open_page(Place.TRIAGE, withdrawable))
    assert "Wheel-arch liner" not in page


def test_the_why_shows_the_cell_of_the_risk_table_and_who_decided_what(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    page = said(open_page(Place.TRIAGE, flagged))
    assert page.count('aria-current="true"') == len(flagged.findings)
    assert "consequence 1 Catastrophic and likelihood A Frequent give High" in page
    assert "Together with" in page
    assert "finding 1" in page


def test_the_case_says_where_the_car_stands_and_how_its_battery_may_travel(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    page = unescape(said(open_page(Place.TRIAGE, flagged)))
    answer = shop.triage.assess(flagged.id, by=ESTIMATOR)
    for said_so in (answer.quarantine, answer.transport):
        assert said_so.label in page
        assert said_so.text in page
        for cited in said_so.citations:
            assert f"{cited.says} [{cited.status.value}]" in page
    for number in answer.transport.un_numbers:
        assert number.number in page
    assert "set by finding 1" in page
