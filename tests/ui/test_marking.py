"""Tagging beside the photo: drafts, saving, conflicts, joining, withdrawing."""

from streamlit.testing.v1 import AppTest

from rules import ComponentId, DamageId, Side, ZoneId
from tests.builders import ESTIMATOR, an_estimator, some_tags
from tests.ui.conftest import OpenPage, entry, go_to, has_button, press, said
from triage_app.domain.case import Case, Finding
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId
from triage_app.services import Services
from triage_app.ui.navigation import Place

SOMEBODY_ELSE = an_estimator("Sam Second")
CABLE, SCRAPE = "1 · HV cable · Severed", "2 · Wheel-arch liner · Scrape"
F1, F2 = FindingId("F1"), FindingId("F2")


def drawn(shop: Services, case: Case) -> Finding:
    """Return a finding that was just drawn: a mark and no word yet."""
    marked = shop.marking.mark(
        case.id, case.photos[0].id, rectangle(0.1, 0.1, 0.3, 0.3), by=ESTIMATOR, finding_id=F1
    )
    return marked.case.finding(F1)


def choose(tab: AppTest, field: str, value: object) -> None:
    entry(tab.selectbox, field).set_value(value).run()
    assert not tab.exception


def test_the_list_of_parts_is_searched_by_other_names_too(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    drawn(shop, case)
    tab = press(open_page(Place.MARK, case), "1 · not named yet")
    options = entry(tab.selectbox, "Damaged part").options
    assert any(option.startswith("HV cable — ") and "orange cable" in option for option in options)
    assert len(options) == len(shop.rulebook.components)


def test_saving_stores_the_tags_and_shows_the_flag_at_once(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    drawn(shop, case)
    tab = press(open_page(Place.MARK, case), "1 · not named yet")
    choose(tab, "Damaged part", ComponentId("hv_cable"))
    choose(tab, "Kind of damage", DamageId("severed"))
    entry(tab.radio, "Side, as the driver sees it").set_value(Side.LEFT.value).run()
    entry(tab.number_input, "Depth").set_value(12.5).run()
    press(tab, "Save this finding")
    tags = shop.cases.get(case.id).finding(F1).tags
    assert (tags.component, tags.damage) == ("hv_cable", "severed")
    assert tags.side is Side.LEFT
    assert tags.measures.depth_mm == 12.5
    assert tags.hangs_free is None
    page = said(tab)
    assert "Finding 1 is saved." in page
    assert "<b>High</b>" in page
    assert "<b>At high voltage</b>" in page
    assert "Why it is flagged for high voltage" in page
    assert not has_button(tab, "Save this finding")


def test_a_finding_that_nobody_named_counts_as_the_worst(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    drawn(shop, case)
    page = said(open_page(Place.MARK, case))
    assert "<b>High</b>" in page
    assert "<b>At high voltage</b>" in page


def test_what_was_entered_stays_while_looking_at_another_finding_or_page(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    entry(tab.text_area, "Note").set_value("both ends bare").run()
    press(tab, "Back to all findings")
    assert "Entered, but not saved yet" in said(tab)
    press(tab, SCRAPE)
    assert "it is not in this answer yet" in said(go_to(tab, Place.TRIAGE))
    go_to(tab, Place.MARK)
    press(tab, "Back to all findings")
    press(tab, CABLE)
    assert entry(tab.text_area, "Note").value == "both ends bare"
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id).finding(F1).tags.note == "both ends bare"


def test_what_was_entered_can_be_thrown_away(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    choose(tab, "Zone", ZoneId("battery_front"))
    press(tab, "Throw away what I entered")
    assert entry(tab.selectbox, "Zone").value is None
    assert shop.cases.get(flagged.id) == flagged


def test_entering_what_is_stored_already_leaves_nothing_to_save(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    choose(tab, "Zone", ZoneId("battery_front"))
    assert has_button(tab, "Save this finding")
    choose(tab, "Zone", None)
    assert not has_button(tab, "Save this finding")


def in_conflict(open_page: OpenPage, shop: Services, flagged: Case) -> AppTest:
    """Return a tab in which I entered a note while somebody else stored another one."""
    tab = press(open_page(Place.MARK, flagged), CABLE)
    entry(tab.text_area, "Note").set_value("mine").run()
    shop.marking.tag(
        flagged.id,
        F1,
        some_tags(note="theirs"),
        expected_revision=shop.cases.get(flagged.id).finding(F1).revision,
        by=SOMEBODY_ELSE,
    )
    return press(tab, "Save this finding")


def test_when_somebody_else_was_faster_both_versions_are_shown_and_theirs_stands(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = in_conflict(open_page, shop, flagged)
    assert "Somebody else changed this finding" in said(tab)
    table = tab.table[0].value
    assert table.to_dict("records") == [
        {"": "Note", "Stored now": "theirs", "What you entered": "mine"}
    ]
    assert shop.cases.get(flagged.id).finding(F1).tags.note == "theirs"


def test_after_looking_at_both_mine_can_be_saved(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(in_conflict(open_page, shop, flagged), "Save mine instead")
    assert shop.cases.get(flagged.id).finding(F1).tags.note == "mine"
    assert not tab.table


def test_after_looking_at_both_theirs_can_be_kept(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(in_conflict(open_page, shop, flagged), "Keep what is stored")
    assert entry(tab.text_area, "Note").value == "theirs"
    assert not has_button(tab, "Save this finding")


def test_a_further_mark_is_no_conflict_with_what_is_being_entered(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    entry(tab.text_area, "Note").set_value("mine").run()
    shop.marking.mark(
        flagged.id,
        flagged.photos[1].id,
        rectangle(0.6, 0.6, 0.8, 0.8),
        by=SOMEBODY_ELSE,
        finding_id=F1,
    )
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id).finding(F1).tags.note == "mine"
    assert not tab.error


def test_a_finding_is_withdrawn_only_with_a_reason_and_can_come_back(
    open_page: OpenPage, shop: Services, withdrawable: Case
) -> None:
    tab = press(open_page(Place.MARK, withdrawable), SCRAPE)
    press(tab, "Withdraw this finding")
    assert len(tab.error) == 1
    assert shop.cases.get(withdrawable.id) == withdrawable
    entry(tab.text_input, "Why this finding no longer counts").set_value("a shadow")
    press(tab, "Withdraw this finding")
    withdrawn = shop.cases.get(withdrawable.id).finding(F2).withdrawn
    assert withdrawn is not None
    assert (withdrawn.reason, withdrawn.signed.by) == ("a shadow", ESTIMATOR.name)
    assert "a shadow (Erin Estimator)" in said(tab)
    press(tab, "Count it again")
    assert shop.cases.get(withdrawable.id).finding(F2).is_open


def test_a_finding_at_hv_is_not_withdrawn_and_the_screen_says_why(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    entry(tab.text_input, "Why this finding no longer counts").set_value("a shadow")
    press(tab, "Withdraw this finding")
    assert "another named person has to lower it" in "".join(error.value for error in tab.error)
    assert shop.cases.get(flagged.id) == flagged


def test_two_marks_of_the_same_damage_become_one_finding(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), SCRAPE)
    choose(tab, "This mark shows the same damage as", F1)
    press(tab, "Join it to that finding")
    assert len(shop.cases.get(flagged.id).finding(F1).marks) == 2
    assert "Marked on photos 1, 2" in said(tab)


def test_further_views_go_on_until_they_are_ended(open_page: OpenPage, flagged: Case) -> None:
    tab = press(open_page(Place.MARK, flagged), CABLE)
    press(tab, "Mark a further view of it")
    press(tab, "Next ▶")
    assert "New marks are further views of finding 1" in said(tab)
    press(tab, "Done with further views")
    assert "New marks are further views" not in said(tab)


def test_choosing_a_finding_turns_to_a_photo_that_shows_it(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = open_page(Place.MARK, flagged)
    assert "Photo 1 of 2" in said(tab)
    press(tab, SCRAPE)
    assert "Photo 2 of 2" in said(tab)
    assert tab.query_params["photo"] == flagged.photos[1].id


def test_turning_pages_is_kept_in_the_address_and_survives_a_reload(
    open_page: OpenPage, flagged: Case
) -> None:
    tab = press(open_page(Place.MARK, flagged), "Next ▶")
    assert not has_button(tab, "Next ▶")
    again = open_page(Place.MARK, flagged, address={"photo": tab.query_params["photo"]})
    assert "Photo 2 of 2" in said(again)


def test_a_photo_in_the_address_that_is_not_of_this_case_falls_back_to_the_first(
    open_page: OpenPage, flagged: Case
) -> None:
    assert "Photo 1 of 2" in said(open_page(Place.MARK, flagged, address={"photo": "Pnowhere"}))


def test_damage_that_no_photo_shows_is_put_on_record(
    open_page: OpenPage, shop: Services, case: Case
) -> None:
    tab = open_page(Place.MARK, case)
    press(tab, "Put it on record")
    assert len(tab.error) == 1
    choose(tab, "Damaged part", ComponentId("drive_shaft"))
    press(tab, "Put it on record")
    [finding] = shop.cases.get(case.id).open_findings
    assert (finding.tags.component, finding.marks) == ("drive_shaft", ())
    assert "No mark on any photo." in said(tab)


def test_without_photos_the_way_leads_back_to_intake(open_page: OpenPage, empty_case: Case) -> None:
    tab = open_page(Place.MARK, empty_case)
    assert "add photos first" in said(tab)
    assert has_button(tab, "Put it on record")


def test_a_damage_is_named_by_one_tap_and_words_used_before_stand_first(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    marked = shop.marking.mark(
        flagged.id, flagged.photos[0].id, rectangle(0.6, 0.6, 0.8, 0.8), by=ESTIMATOR
    )
    [new] = [one for one in marked.case.open_findings if one.id not in {"F1", "F2"}]
    tab = open_page(Place.MARK, flagged)
    press(tab, "3 · not named yet")
    parts = entry(tab.selectbox, "Damaged part").options
    assert [option.split(" —")[0] for option in parts[:2]] == ["Wheel-arch liner", "HV cable"]
    press(tab, "Severed")
    press(tab, "Save this finding")
    assert shop.cases.get(flagged.id).finding(new.id).tags.damage == "severed"


def test_the_same_damage_is_one_tap_away_from_a_new_mark(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    shop.marking.mark(flagged.id, flagged.photos[1].id, rectangle(0.6, 0.6, 0.8, 0.8), by=ESTIMATOR)
    tab = open_page(Place.MARK, flagged)
    press(tab, "3 · not named yet")
    press(tab, "1 · HV cable · Severed")
    assert len(shop.cases.get(flagged.id).finding(flagged.findings[0].id).marks) == 2
