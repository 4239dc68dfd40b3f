"""The self-check finds nothing in our book, and finds each planted fault."""

from dataclasses import replace
from functools import cache

import pytest

from rules import Consequence, HvFlag, Likelihood, Quarantine, Rulebook, RuleId
from rules.checks import CheckReport, check
from rules.condition import Check
from rules.proofs.coverage import coverage
from rules.proofs.reach import reach_faults
from rules.proofs.steps import prove_damage, prove_steps
from rules.proofs.wiring import wiring_faults
from rules.reading.pairs import pair_rules
from rules.rule import Rule
from tests.unit.rules.book import the_book


@cache
def the_report() -> CheckReport:
    return check(the_book())


def book_with_rules(*rules: Rule, without: str = "") -> Rulebook:
    """Return the book with these rules put in, or put in the place of their namesakes."""
    book = the_book()
    changed = {**book.rules, **{rule.id: rule for rule in rules}}
    changed = {rule_id: rule for rule_id, rule in changed.items() if rule_id != without}
    pairs = pair_rules(book.components, book.damage_types, changed)
    return replace(book, rules=changed, pairs=pairs)


def a_rule(rule_id: str) -> Rule:
    return the_book().rules[RuleId(rule_id)]


def with_unknown(rule: Rule, key: str, unknown: str) -> Rule:
    """Return the rule with another word on what an unknown answer does."""

    def changed(one: Check) -> Check:
        return replace(one, unknown=unknown) if one.key == key else one

    return replace(rule, checks=tuple(changed(one) for one in rule.checks))


def test_our_book_is_in_order() -> None:
    report = the_report()
    assert report.faults == ()
    assert report.is_in_order


def test_every_part_damage_zone_and_distance_has_an_outcome() -> None:
    rows = coverage(the_book())
    book = the_book()
    cells_each = len(book.damage_types) * (len(book.zones) + 1) * 5
    assert [row.cells for row in rows] == [cells_each] * len(book.components)
    assert all(sum(row.risks.values()) == sum(row.flags.values()) == row.cells for row in rows)
    assert sum(row.uncovered for row in rows) == 0


def test_the_book_is_as_large_as_it_says() -> None:
    book = the_book()
    assert len(book.components) >= 40
    assert len(book.damage_types) >= 20
    assert len(book.facts) >= 30


def test_a_hole_in_the_book_is_found_and_judged_as_the_worst() -> None:
    holed = book_with_rules(without="CON-082")
    report = check(holed)
    assert any(fault.startswith("Suspension arm: ") for fault in report.faults)
    row = next(row for row in report.coverage if row.component == "Suspension arm")
    assert row.uncovered == 3 * (len(holed.zones) + 1) * 5  # scrape, coating loss, contamination


@pytest.mark.parametrize(
    ("rule_id", "key", "fact"),
    [
        ("LIK-013", "depth_mm_min", "depth_mm"),
        ("LIK-015", "length_mm_min", "length_mm"),
        ("HVF-011", "hv_zone", "zone"),
        ("HVF-021", "voltage_v_over", "system_voltage_v"),
        ("LIK-044", "hv_zone", "zone"),
        ("HVF-002", "voltage_v_over", "system_voltage_v"),
    ],
)
def test_an_unknown_that_counts_as_mild_is_found(rule_id: str, key: str, fact: str) -> None:
    proof = prove_steps(book_with_rules(with_unknown(a_rule(rule_id), key, "HVF-001")))
    assert any(f"{fact} from " in fault and " to None " in fault for fault in proof.faults)


def test_the_loss_of_the_row_for_unmeasured_distances_is_found() -> None:
    proof = prove_steps(book_with_rules(without="HVF-021"))
    assert any("distance_to_hv_mm" in fault for fault in proof.faults)


def test_worse_damage_that_is_judged_milder_is_found() -> None:
    milder = replace(
        a_rule("LIK-030"),
        selector=replace(a_rule("LIK-030").selector, families=frozenset({"heat"})),
    )
    proof = prove_damage(book_with_rules(milder))
    assert "hv_cable/severed is judged milder than hv_cable/chafed." in proof.faults


def test_silence_about_an_unidentified_part_is_found_and_still_judged_as_the_worst() -> None:
    silent = book_with_rules(without="CON-001")
    assert not prove_damage(silent).faults
    assert any(fault.startswith("Part not identified: ") for fault in check(silent).faults)


@pytest.mark.parametrize("rule_id", ["LIK-001", "HVF-006"])
def test_an_unidentified_part_that_is_judged_milder_than_a_known_one_is_found(
    rule_id: str,
) -> None:
    # The flag of an unidentified part has a second reason, so both have to go.
    without = book_with_rules(without=rule_id)
    if rule_id == "HVF-006":
        without = replace(
            without,
            pairs=pair_rules(
                without.components,
                without.damage_types,
                {name: rule for name, rule in without.rules.items() if name != "HVF-002"},
            ),
        )
    faults = prove_damage(without).faults
    assert any(fault.startswith("unidentified_component/") for fault in faults)


def test_a_rule_without_example_is_found() -> None:
    book = replace(the_book(), examples=the_book().examples[1:])
    assert f"{the_book().examples[0].rule}: has no example; nothing shows that it can fire." in (
        wiring_faults(book)
    )


def test_an_example_that_misses_and_a_near_miss_that_hits_are_found() -> None:
    first = the_book().examples[0]
    turned = replace(first, hit=first.miss, miss=first.hit, expect=None)
    faults = wiring_faults(replace(the_book(), examples=(turned, *the_book().examples[1:])))
    assert f"{first.rule}: its example does not fire it." in faults
    assert f"{first.rule}: its near miss fires it." in faults


def test_an_example_with_another_outcome_is_found_and_both_are_told() -> None:
    first = the_book().examples[0]
    assert first.expect is not None
    wrong = replace(
        first,
        expect=replace(
            first.expect,
            consequence=Consequence.NEGLIGIBLE,
            likelihood=Likelihood.E,
            hv_flag=HvFlag.NONE,
        ),
    )
    [fault] = wiring_faults(replace(the_book(), examples=(wrong, *the_book().examples[1:])))
    assert fault.startswith(f"{first.rule}: its example gives catastrophic a high at_hv")
    assert "not negligible e high none" in fault


def test_a_limit_that_is_not_the_cited_value_is_found() -> None:
    rule = a_rule("HVF-010")
    checks = tuple(
        replace(one, limit=200.0) if one.key == "hv_within_mm" else one for one in rule.checks
    )
    faults = wiring_faults(book_with_rules(replace(rule, checks=checks)))
    assert "HVF-010: hv_within_mm 200 is not the value that it cites." in faults


def test_an_action_and_a_test_that_no_rule_asks_for_are_found() -> None:
    bare = [
        replace(rule, then=replace(rule.then, actions=frozenset(), tests=frozenset()))
        for rule in the_book().rules.values()
    ]
    faults = wiring_faults(book_with_rules(*bare))
    assert "renew_part: no rule asks for this action." in faults
    assert "tyre_inside: no rule asks for this test." in faults


def test_a_source_that_nothing_cites_is_found() -> None:
    book = the_book()
    kept = {name: one for name, one in book.facts.items() if name not in {"LI-09", "LI-10"}}
    rules = {name: one for name, one in book.rules.items() if set(one.cites) <= set(kept)}
    faults = wiring_faults(replace(book, facts=kept, rules=rules))
    assert "coolant_article: nothing cites this source." in faults


def test_the_report_tells_the_shares_of_both_flags_for_each_distance() -> None:
    lines = the_report().lines()
    shares = [line for line in lines if "at HV" in line and "within reach" in line]
    assert [line.split("at HV")[0].strip() for line in shares] == [
        "not measured",
        "measured, covers on",
        "within 0.3 m",
        "within 1.0 m",
        "beyond",
    ]


def test_a_part_that_is_hv_carries_the_flag_in_every_cell() -> None:
    hv = {part.label for part in the_book().components.values() if part.is_hv}
    for row in coverage(the_book()):
        if row.component in hv:
            assert dict(row.flags) == {HvFlag.AT_HV: row.cells}


def test_every_row_decides_somewhere() -> None:
    assert reach_faults(the_book()) == ()


def test_a_row_that_only_repeats_others_is_found() -> None:
    fire = a_rule("HVF-003")
    idle = replace(fire, id=RuleId("HVF-099"))
    assert "HVF-099: nothing changes without it." in reach_faults(book_with_rules(idle))


def test_a_row_about_the_car_that_decides_nothing_is_found() -> None:
    book = the_book()
    milder = replace(book.quarantine_rules[RuleId("QUA-010")], then=Quarantine.HOLD_OUTSIDE)
    rules = {**book.quarantine_rules, milder.id: milder}
    faults = reach_faults(replace(book, quarantine_rules=rules))
    assert "QUA-010: nothing changes without it." in faults
