"""The checklist: a tap says what was seen of a kind of part, a reason why not, and photos."""

import pytest
from streamlit.testing.v1 import AppTest

from tests.builders import ESTIMATOR, some_tags
from tests.ui.conftest import Door, OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.domain.inspection.entries import ItemState
from triage_app.domain.permissions import Role
from triage_app.services import Services
from triage_app.ui import gate_text as words
from triage_app.ui.navigation import Place

ZONE = "front_end"
SEEN, CLOSED = ItemState.NO_VISIBLE_DAMAGE, ItemState.NOT_ACCESSIBLE


def tap(tab: AppTest, key: str, to: ItemState) -> AppTest:
    tab.button(key=f"check-{key}-{to.name}").click().run()
    assert not tab.exception
    return tab


def states(shop: Services, case: Case, kind: str) -> list[ItemState]:
    listed = shop.inspection.checklist(shop.cases.get(case.id))
    zone = next(one for one in listed.zones if one.zone == ZONE)
    return [one.state for row in zone.kinds if row.kind == kind for one in row.items]


def test_nothing_is_inspected_until_somebody_says_so(open_page: OpenPage, empty_case: Case) -> None:
    page = said(open_page(Place.CHECKLIST, empty_case))
    assert "<b>✓ 0</b> no visible damage" in page
    assert "No finding is not the same as inspected" in page


def test_one_tap_says_it_of_a_kind_of_part_in_my_name(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = tap(open_page(Place.CHECKLIST, empty_case), f"{ZONE}-Trim", SEEN)
    assert set(states(shop, empty_case, "Trim")) == {SEEN}
    (given,) = shop.cases.get(empty_case.id).inspection
    assert given.recorded.by == ESTIMATOR.name
    assert "<b>✓ 0</b>" not in said(tab)


def test_covers_off_goes_with_what_was_seen(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.CHECKLIST, empty_case)
    (covers,) = [one for one in tab.button_group if one.label == words.COVERS]
    covers.set_value(True).run()
    tap(tab, f"{ZONE}-Trim", SEEN)
    assert shop.cases.get(empty_case.id).inspection[0].what.covers_off is True  # type: ignore[union-attr]


def test_the_rest_of_a_zone_is_explained_at_once(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.CHECKLIST, empty_case)
    before = len(shop.inspection.unexplained(empty_case))
    entry(tab.text_input, words.WHY_NOT).set_value("Shields are riveted; not taken off yet.")
    tap(tab, f"rest-{ZONE}", CLOSED)
    after = shop.cases.get(empty_case.id)
    assert len(shop.inspection.unexplained(after)) < before
    listed = shop.inspection.checklist(after)
    zone = next(one for one in listed.zones if one.zone == ZONE)
    assert {one.state for one in zone.items} == {CLOSED}
    assert all(one.is_explained for one in zone.items)


def test_the_rest_that_was_seen_leaves_battery_and_high_voltage_to_a_tap_of_their_own(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = tap(open_page(Place.CHECKLIST, empty_case), f"rest-{ZONE}", SEEN)
    listed = shop.inspection.checklist(shop.cases.get(empty_case.id))
    zone = next(one for one in listed.zones if one.zone == ZONE)
    left = {kind.kind for kind in zone.kinds if kind.state is not SEEN}
    assert left == {"HV cables and connectors", "HV units"}
    tap(tab, f"{ZONE}-HV-units", SEEN)
    assert set(states(shop, empty_case, "HV units")) == {SEEN}


def test_one_reason_explains_what_is_left_of_the_whole_car(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = tap(open_page(Place.CHECKLIST, empty_case), f"{ZONE}-Trim", SEEN)
    entry(tab.text_input, words.WHY_REST_OF_CAR).set_value("Held outside; looked at from afar.")
    tap(tab, "car", ItemState.NOT_INSPECTED)
    after = shop.cases.get(empty_case.id)
    assert {one.what.partition(":")[0] for one in shop.inspection.unexplained(after)} == {"Photo"}
    assert set(states(shop, empty_case, "Trim")) == {SEEN}


def test_a_finding_makes_its_part_damaged_and_takes_the_taps_away(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    shop.marking.add_finding(
        empty_case.id, some_tags("bumper_beam", "dent", zone=ZONE), by=ESTIMATOR
    )
    tab = open_page(Place.CHECKLIST, empty_case)
    (single,) = tab.toggle
    tab = single.set_value(True).run()
    assert ItemState.DAMAGED in states(shop, empty_case, "Body and mounts")
    keys = [one.key for one in tab.button]
    assert f"check-one-{ZONE}-bumper_beam-{SEEN.name}" not in keys
    assert f"check-one-{ZONE}-condenser-{SEEN.name}" in keys


def test_an_expected_photo_is_pointed_at_or_explained(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = open_page(Place.CHECKLIST, flagged)
    entry(tab.multiselect, "Photo: odometer").set_value([flagged.photos[0].id])
    entry(tab.text_input, "or why there is none (VIN plate)").set_value("Plate is torn off.")
    press(tab, words.EXPECTED_SAVE)
    settled = [
        str(one.expected)
        for one in shop.inspection.checklist(shop.cases.get(flagged.id)).photos
        if one.is_settled
    ]
    assert settled == ["VIN plate", "odometer"]
    assert len(shop.cases.get(flagged.id).inspection) == 2


def test_what_is_left_for_release_is_listed(open_page: OpenPage, empty_case: Case) -> None:
    page = said(open_page(Place.CHECKLIST, empty_case))
    assert "Photo: VIN plate: no photo, and nobody said why" in page


@pytest.mark.parametrize("role", [Role.ADJUSTER, Role.ADMINISTRATOR])
def test_who_may_not_inspect_changes_nothing(
    open_page: OpenPage, door: Door, shop: Services, empty_case: Case, role: Role
) -> None:
    door.sign_in(f"Olga {role.value.title()}", [role])
    tab = tap(open_page(Place.CHECKLIST, empty_case), f"{ZONE}-Trim", SEEN)
    assert "may not" in said(tab)
    assert shop.cases.get(empty_case.id).inspection == ()
