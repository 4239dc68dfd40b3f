"""The comparison of book and overlay finds each planted fault that no row check could see."""

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from rules import ComponentId, Consequence, DamageId, HvFlag, Rulebook, RuleId
from rules.checks import check
from rules.proofs.overlay import prove_overlay
from rules.proofs.overlay_grid import grid
from rules.reading.pairs import pair_rules
from rules.rule import Rule
from tests.unit.rules.book import the_book
from tests.unit.rules.shop import GOOD, HEADER, LID, a_part, a_rule, loaded

HOW_TO = Path(__file__).parents[3] / "docs" / "how-to" / "add-your-own-rules.md"


def with_rules(book: Rulebook, rules: Mapping[RuleId, Rule]) -> Rulebook:
    pairs = pair_rules(book.components, book.damage_types, rules)
    return replace(book, rules=rules, pairs=pairs)


def without(book: Rulebook, rule_id: str) -> Rulebook:
    return with_rules(book, {name: one for name, one in book.rules.items() if name != rule_id})


def changed(book: Rulebook, rule_id: str, **then: object) -> Rulebook:
    rule = book.rules[RuleId(rule_id)]
    milder = replace(rule, then=replace(rule.then, **then))  # type: ignore[arg-type]  # as named
    return with_rules(book, {**book.rules, rule.id: milder})


def test_a_good_overlay_covers_every_situation_of_every_pair(tmp_path: Path) -> None:
    ours, both = the_book(), loaded(tmp_path, GOOD)
    proof = prove_overlay(ours, both)
    assert proof.faults == ()
    assert proof.steps == len(grid(ours, both).situations) * len(both.pairs)
    assert len(grid(ours, both).situations) > 500


@pytest.mark.parametrize(
    ("rule_id", "then", "said"),
    [
        ("CON-010", {"consequence": Consequence.NEGLIGIBLE}, "hv_"),
        ("HVF-001", {"hv_flag": HvFlag.WITHIN_REACH}, "at hv"),
        ("REP-045", {"tests": frozenset()}, "battery_fixing would no longer be asked for"),
        ("DNG-001", {"actions": frozenset()}, "hands_off_opening would no longer be asked for"),
    ],
)
def test_a_row_of_ours_that_became_milder_is_found(
    rule_id: str, then: dict[str, object], said: str
) -> None:
    faults = prove_overlay(the_book(), changed(the_book(), rule_id, **then)).faults
    assert any("would lower" in fault and said in fault for fault in faults), faults[:3]


@pytest.mark.parametrize("rule_id", ["HVF-021", "LIK-013", "CON-082", "HVF-010"])
def test_a_row_of_ours_that_is_gone_is_found(rule_id: str) -> None:
    assert prove_overlay(the_book(), without(the_book(), rule_id)).faults


def test_a_combination_of_ours_that_is_gone_is_found() -> None:
    faults = prove_overlay(the_book(), without(the_book(), "CMB-002")).faults
    assert any("CMB-002 would no longer see" in fault for fault in faults)


def test_a_lost_safing_action_is_found() -> None:
    book = the_book()
    fewer = {flag: ids - {"prove_read_prove"} for flag, ids in book.safing_actions.items()}
    faults = prove_overlay(book, replace(book, safing_actions=fewer)).faults
    assert any("prove_read_prove would no longer be asked for" in fault for fault in faults)


def test_a_zone_from_which_hv_was_taken_is_found() -> None:
    book = the_book()
    zones = {name: replace(zone, hv_runs_here=False) for name, zone in book.zones.items()}
    words = replace(book.vocabulary, zones=zones)
    assert prove_overlay(book, replace(book, zones=zones, vocabulary=words)).faults


def test_a_part_of_the_shop_that_is_milder_than_its_model_is_found(tmp_path: Path) -> None:
    both = loaded(tmp_path, HEADER + LID)
    part = both.components[ComponentId("shop_tow_eye_lid")]
    milder = replace(part, like=ComponentId("hv_cable"))
    changed_words = replace(both, components={**both.components, part.id: milder})
    faults = prove_overlay(the_book(), changed_words).faults
    assert any(
        fault.startswith("shop_tow_eye_lid: would lower shop_tow_eye_lid/") for fault in faults
    )


def test_the_fault_names_row_pair_situation_and_both_outcomes() -> None:
    [fault, *_] = prove_overlay(the_book(), without(the_book(), "HVF-021")).faults
    assert re.fullmatch(
        r"overlay: would lower \w+/\w+ \(zone [\w ]+, HV [^,]+, [^)]*\): .* would become .*\.",
        fault,
    ), fault


def test_a_part_that_hv_is_said_to_run_behind_keeps_all_that_it_was_asked(tmp_path: Path) -> None:
    """REP-052 speaks of shields without HV behind them; REP-051 must ask no less."""
    behind = '[[near_hv_part]]\ncomponent = "under_shield_front"\nbecause = "Cables run there."\n'
    both = loaded(tmp_path, HEADER + behind)
    pair = (ComponentId("under_shield_front"), DamageId("crack"))
    before = {one.rule.id for one in the_book().pairs[pair].alone}
    after = {one.rule.id for one in both.pairs[pair].alone}
    assert "REP-052" in before - after
    assert "REP-051" in after - before
    # Without that row the shop's word would cost an action; the comparison says so.
    faults = prove_overlay(the_book(), without(both, "REP-051")).faults
    assert any("under_shield_front" in fault and "shield_off_and_look" in fault for fault in faults)


def test_a_rule_of_the_shop_on_a_part_like_ours_is_compared_with_the_model(tmp_path: Path) -> None:
    rows = a_part() + a_rule('component = ["shop_part"]', 'tests = ["maker_criterion"]')
    assert check(loaded(tmp_path, HEADER + rows), over=the_book()).faults == ()


def test_the_example_of_the_how_to_is_accepted_and_every_law_holds(tmp_path: Path) -> None:
    found = re.search(r"```toml\n(.*?)```", HOW_TO.read_text(encoding="utf-8"), re.DOTALL)
    assert found
    both = loaded(tmp_path, found.group(1))
    report = check(both, over=the_book())
    assert report.faults == ()
    assert report.overlay is not None
    lines = "\n".join(report.lines())
    for row in ("SHOP-001", "SHOP-002", "SHOP-003", "shop_roof_drain", "radiator", "EVD-020"):
        assert row in lines
