"""A shop's rules lie over the book whole or not at all, and say what is wrong where."""

from pathlib import Path

import pytest

from rules import (
    CaseFacts,
    ComponentId,
    HvFlag,
    Likelihood,
    Origin,
    RulebookError,
    VehicleFacts,
    ZoneId,
    assess,
    load_rulebook,
)
from rules.checks import check
from rules.condition import QUESTIONS
from rules.explain import explain
from rules.reading.overlay_rules import STRICTER_IS_LOWER
from rules.vocabulary import search_components
from tests.unit.rules.book import NO_SIGNS, a_finding, the_book
from tests.unit.rules.shop import GOOD, HEADER, LID, NO_EXAMPLE, loaded


def test_a_good_overlay_adds_and_tightens_and_says_so(tmp_path: Path) -> None:
    book = loaded(tmp_path, GOOD)
    assert book.overlay is not None
    lines = "\n".join(book.overlay.lines())
    assert "'Invented Body Shop', revision 3, from shop.toml" in lines
    assert "senior technician, agreed 2025-01-15" in lines
    assert "part: Tow-eye lid, like air_guide" in lines
    assert "LIK-013, depth_mm_min 3 to 2: We take a dent" in lines
    assert check(book, over=the_book()).faults == ()


def test_our_rows_stand_unchanged_under_an_overlay(tmp_path: Path) -> None:
    book, ours = loaded(tmp_path, GOOD), the_book()
    assert {rule_id: book.rules[rule_id] for rule_id in ours.rules} == dict(ours.rules)
    assert book.risk_matrix == ours.risk_matrix
    assert {one: book.actions[one] for one in ours.actions} == dict(ours.actions)
    assert all(ours.safing_actions[flag] <= book.safing_actions[flag] for flag in HvFlag)


def test_a_tightened_limit_counts_and_its_reason_is_the_shops(tmp_path: Path) -> None:
    finding = a_finding("front_subframe", "dent", depth_mm=2.5)
    facts = CaseFacts(vehicle=VehicleFacts(signs=NO_SIGNS), findings=(finding,))
    before = assess(facts, the_book()).findings[0]
    after = assess(facts, loaded(tmp_path, GOOD)).findings[0]
    assert (before.likelihood, after.likelihood) == (Likelihood.D, Likelihood.C)
    [why] = [reason for reason in after.reasons if reason.rule_id == "SHOP-001"]
    assert why.origin is Origin.SHOP
    assert why.because == "We take a dent of 2 mm for more than a mark."
    assert {one.origin for one in after.reasons if one is not why} == {Origin.BOOK}
    assert "SHOP-001" in after.decided_by


def test_the_stamp_covers_the_overlay_and_names_it(tmp_path: Path) -> None:
    book = loaded(tmp_path, GOOD)
    other = loaded(tmp_path, GOOD.replace("for more than a mark", "seriously"))
    assert len({book.stamp.sha256, other.stamp.sha256, the_book().stamp.sha256}) == 3
    assert book.stamp.words == (
        f"{the_book().stamp.words}, with the shop's rules 'Invented Body Shop' revision 3"
    )
    assert the_book().stamp.words == f"revision {the_book().stamp.revision}"
    empty = CaseFacts(vehicle=VehicleFacts(signs=NO_SIGNS), findings=())
    assert assess(empty, book).stamp == book.stamp


def test_line_ends_do_not_change_the_stamp(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_bytes(GOOD.replace("\n", "\r\n").encode())
    assert load_rulebook(overlay=path).stamp == loaded(tmp_path, GOOD).stamp


def test_every_rule_that_speaks_of_the_model_speaks_of_the_shops_part(tmp_path: Path) -> None:
    cable = LID.replace("shop_tow_eye_lid", "shop_jumper").replace("air_guide", "hv_cable")
    book = loaded(tmp_path, HEADER + cable.replace("Tow-eye lid", "HV jumper"))
    for damage in the_book().damage_types:
        ours = [one.rule.id for one in book.pairs["hv_cable", damage].alone]  # type: ignore[index]
        shops = [one.rule.id for one in book.pairs["shop_jumper", damage].alone]  # type: ignore[index]
        assert ours == shops
        assert "REP-021" in ours or damage not in {"severed", "chafed"}


def test_hv_said_to_run_behind_a_part_and_in_a_zone_flags(tmp_path: Path) -> None:
    behind = '[[near_hv_part]]\ncomponent = "radiator"\nbecause = "The HV heater sits there."\n'
    here = '[[near_hv_zone]]\nzone = "front_end"\nbecause = "The HV heater sits there."\n'
    book = loaded(tmp_path, HEADER + behind + here)
    assert book.zones[ZoneId("front_end")].hv_runs_here
    facts = CaseFacts(
        vehicle=VehicleFacts(system_voltage_v=400.0, signs=NO_SIGNS),
        findings=(a_finding("radiator", "scrape", zone="front_end", at=3000.0),),
    )
    assert assess(facts, the_book()).findings[0].hv_flag is HvFlag.NONE
    assert assess(facts, book).findings[0].hv_flag is HvFlag.AT_HV


def test_a_safing_action_of_the_shop_becomes_mandatory(tmp_path: Path) -> None:
    action = (
        '[[action]]\nid = "shop_call_foreman"\norder = 145\nis_safing = true\n'
        'required_from = "within reach"\nsignal_word = "warning"\n'
        'text = "Call the foreman before anybody goes on."\n'
    )
    book = loaded(tmp_path, HEADER + action)
    facts = CaseFacts(
        vehicle=VehicleFacts(signs=NO_SIGNS), findings=(a_finding("hv_cable", "severed"),)
    )
    actions = [one.id for one in assess(facts, book).findings[0].actions]
    assert "shop_call_foreman" in actions
    assert set(actions) > {one.id for one in assess(facts, the_book()).findings[0].actions}


def test_a_sign_may_ask_for_more(tmp_path: Path) -> None:
    stop = (
        '[[stricter]]\nid = "SHOP-003"\nof = "STP-007"\nthen = { signal_word = "danger" }\n'
        'because = "We clear the hall when it smells."\nbasis = "judgement"\n'
        f'no_example = "{NO_EXAMPLE}"\n'
    )
    book = loaded(tmp_path, HEADER + stop)
    smelly = VehicleFacts(signs={**NO_SIGNS, "odour": True})
    facts = CaseFacts(vehicle=smelly, findings=())
    before, after = assess(facts, the_book()), assess(facts, book)
    assert after.signal_word > before.signal_word
    assert [reason.rule_id for reason in after.stop_conditions] == ["STP-007", "SHOP-003"]
    assert after.stop_conditions[1].origin is Origin.SHOP


def test_names_of_the_shop_find_our_part(tmp_path: Path) -> None:
    names = '[[component_names]]\ncomponent = "skid_plate"\nadd = ["slider"]\n'
    assert search_components(loaded(tmp_path, HEADER + names), "slider")[0].id == "skid_plate"


def test_explain_says_whose_a_rule_is_and_which_of_ours_stands_beside_it(tmp_path: Path) -> None:
    lines = explain(loaded(tmp_path, GOOD), "SHOP-001")
    assert lines[0] == (
        "SHOP-001 (the shop's own, from shop.toml, stricter than LIK-013, which stands beside it)"
    )


def test_every_question_with_a_limit_has_its_stricter_side() -> None:
    limited = {key for key, question in QUESTIONS.items() if question.has_limit}
    assert set(STRICTER_IS_LOWER) == limited


def test_no_file_and_a_folder_are_one_sentence(tmp_path: Path) -> None:
    for place in (tmp_path / "gone.toml", tmp_path):
        with pytest.raises(RulebookError, match=r"The shop's rules '.*' cannot be read: "):
            load_rulebook(overlay=place)


def test_the_lid_alone_is_accepted(tmp_path: Path) -> None:
    """A part needs no rule of its own: those of its model speak of it."""
    assert ComponentId("shop_tow_eye_lid") in loaded(tmp_path, HEADER + LID).components
