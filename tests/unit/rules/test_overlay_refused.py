"""An overlay that loosens, or that is wrong in itself, is refused whole and in one line."""

from pathlib import Path

import pytest

from rules import RulebookError
from rules.loader import lay_over
from tests.unit.rules.book import the_book
from tests.unit.rules.shop import (
    DENT,
    GOOD,
    HEADER,
    NO_EXAMPLE,
    a_damage,
    a_part,
    a_rule,
    an_action,
    names,
    refusal,
    stricter,
)

MEMO = """
[[source]]
id = "shop_memo"
title = "Memo"
publisher = "The shop"
edition = "1"
status = "read"
"""
RATTLE = """
[[stop_rule]]
id = "SHOP-004"
sign = "rattle"
answer = "yes"
then = { signal_word = "danger", consequence = "critical", likelihood = "B" }
because = "It rattles."
basis = "judgement"
"""

# What would lower or loosen -> what the refusal names: row, field and reason.
LOOSENING = {
    "a larger least depth": (
        stricter("LIK-013", "depth_mm_min = 4"),
        ["SHOP-009, depth_mm_min", "4 is not stricter than the 3 of LIK-013", "only less"],
    ),
    "a larger least length": (
        stricter("LIK-015", "length_mm_min = 11"),
        ["SHOP-009, length_mm_min", "only less"],
    ),
    "a smaller distance": (
        stricter("HVF-010", "hv_within_mm = 200"),
        ["SHOP-009, hv_within_mm", "only more"],
    ),
    "a higher voltage": (
        stricter("HVF-002", "voltage_v_over = 100"),
        ["SHOP-009, voltage_v_over", "only less"],
    ),
    "a milder likelihood": (
        stricter("LIK-030", 'then = { likelihood = "B" }'),
        ["SHOP-009, then, likelihood", "'b' is not worse than the 'a' of LIK-030"],
    ),
    "a milder consequence": (
        stricter("CON-010", 'then = { consequence = "critical" }'),
        ["SHOP-009, then, consequence"],
    ),
    "a milder flag": (
        stricter("HVF-001", 'then = { hv_flag = "within reach" }'),
        ["SHOP-009, then, hv_flag"],
    ),
    "a milder signal word": (
        stricter("DNG-001", 'then = { signal_word = "warning" }'),
        ["SHOP-009, then, signal_word"],
    ),
    "a milder repair": (
        stricter("REP-020", 'then = { disposition = "repair" }'),
        ["SHOP-009, then, disposition"],
    ),
    "a milder word for a sign": (
        stricter("STP-001", 'then = { signal_word = "warning" }'),
        ["SHOP-009, then, signal_word"],
    ),
    "an unknown left to a milder row": (
        stricter("LIK-013", 'unknown = { depth_mm_min = "LIK-012" }'),
        ["SHOP-009, unknown, depth_mm_min", "can only become 'met'"],
    ),
    "level F": (stricter("LIK-010", 'then = { likelihood = "F" }'), ["SHOP-009, then, likelihood"]),
    "a row of ours by its id": (
        DENT.replace('id = "SHOP-001"', 'id = "LIK-013"'),
        ["LIK-013, id", "SHOP-001"],
    ),
    "a rule with an id of ours": (
        a_rule("is_hv = true", 'likelihood = "A"').replace("SHOP-002", "HVF-001"),
        ["HVF-001, id"],
    ),
    "a part of ours": (a_part(id='"hv_cable"'), ["hv_cable, id", "shop_"]),
    "a damage type of ours": (a_damage(id='"burn_or_arc_mark"'), ["burn_or_arc_mark, id"]),
    "a safing action of ours": (
        an_action(id='"de_energise_and_lock"'),
        ["de_energise_and_lock, id"],
    ),
    "a test of ours": (
        '[[open_test]]\nid = "isolation_resistance"\ntext = "None."\nby = "nobody"\n',
        ["isolation_resistance, id"],
    ),
    "a zone": (
        '[[zone]]\nid = "front_centre"\nhv_runs_here = false\n',
        ["shop.toml, zone", "Zones cannot be changed"],
    ),
    "the risk matrix": (
        '[risk]\nA = ["low", "low", "low", "low"]\n',
        ["shop.toml, risk", "The risk matrix cannot be changed"],
    ),
    "the signal words": (
        '[least]\nhv_flag = "notice"\n',
        ["shop.toml, least", "The signal words cannot be changed"],
    ),
    "safing": (
        "[safing]\nnone = true\n",
        ["shop.toml, safing", "Mandatory safing cannot be changed"],
    ),
    "a part that denies HV behind it": (
        a_part(like='"skid_plate"', hv_runs_behind="false"),
        ["shop_part, hv_runs_behind", "true of 'skid_plate'"],
    ),
    "a part that says it is no HV": (
        a_part(like='"hv_cable"', is_hv="false"),
        ["shop_part, is_hv", "follows from 'like'"],
    ),
    "a part with a milder role": (
        a_part(like='"hv_cable"', role='"comfort"'),
        ["shop_part, role", "follows from 'like'"],
    ),
    "damage with a milder family": (
        a_damage(like='"severed"', family='"surface"'),
        ["shop_harm, family", "follows from 'like'"],
    ),
    "a part like nothing": (
        a_part(like='"unidentified_component"'),
        ["shop_part, like", "identified"],
    ),
    "damage like nothing": (
        a_damage(like='"unidentified_damage"'),
        ["shop_harm, like", "identified"],
    ),
    "our part under a milder kind": (
        a_part(label='"Orange cable"'),
        ["shop_part, synonyms", "already leads to 'hv_cable'"],
    ),
    "a synonym that is one of ours": (
        a_part(synonyms='["cold-plate"]'),
        ["shop_part, synonyms", "'battery_cooling_plate'"],
    ),
    "HV by name only": (
        a_part(label='"Lid of the HV box"'),
        ["shop_part, synonyms", "speaks of high voltage ('hv')"],
    ),
    "HV by a name of ours": (
        a_part(synonyms='["battery pack lid"]'),
        ["shop_part, synonyms", "('battery pack')"],
    ),
    "a synonym of two parts": (
        names("fan_shroud", "orange cable"),
        ["fan_shroud, add", "'hv_cable'"],
    ),
    "a synonym of HV for another part": (
        names("fan_shroud", "orange"),
        ["fan_shroud, add", "speaks of high voltage"],
    ),
    "a synonym that comes first": (
        names("fan", "disconnect"),
        ["fan, add", "a search for 'disc' would find 'fan' before 'service_disconnect'"],
    ),
    "worse damage under a mild name": (
        a_damage(label='"Clean cut"'),
        ["shop_harm, synonyms", "'severed'"],
    ),
    "an arc under the name of dirt": (
        '[[damage_names]]\ndamage = "contamination"\nadd = ["black arc dust"]\n',
        ["contamination, add", "'burn_or_arc_mark'"],
    ),
    "a name for what nobody identified": (
        names("unidentified_component", "thing"),
        ["unidentified_component, component"],
    ),
    "an action before the maker's procedure": (
        an_action(order="50"),
        ["shop_do, order", "the maker's procedure is first"],
    ),
    "an action in the place of one of ours": (
        an_action(order="150"),
        ["shop_do, order", "de_energise_and_lock"],
    ),
    "a word that something is safe": (
        a_rule("is_hv = true", 'likelihood = "A"').replace(
            "We have seen it go wrong.", "Then the car is safe."
        ),
        ["SHOP-002, because", "says 'safe'"],
    ),
    "an example that says safe": (
        an_action(text='"Work without danger."'),
        ["shop_do, text", "says 'without danger'"],
    ),
    "HV said to be gone": (
        '[[near_hv_part]]\ncomponent = "radiator"\nhv_runs_behind = false\nbecause = "None."\n',
        ["radiator, hv_runs_behind", "is not a field"],
    ),
    "unknown milder than known": (
        a_rule(
            'damage = ["dent"], depth_mm_min = 5',
            'likelihood = "A"',
            '[rule.unknown]\ndepth_mm_min = "LIK-013"\n',
        ),
        ["depth_mm from 5.0 to None lowers"],
    ),
    "unknown voltage milder": (
        a_rule(
            'damage = ["dent"], voltage_v_over = 600',
            'likelihood = "A"',
            '[rule.unknown]\nvoltage_v_over = "LIK-013"\n',
        ),
        ["system_voltage_v from", "to None lowers"],
    ),
    "an unknown hanging end milder": (
        a_rule(
            'damage = ["severed"], hangs_free = true',
            'likelihood = "A"',
            '[rule.unknown]\nhangs_free = "LIK-011"\n',
        ),
        ["hangs_free from True to None lowers"],
    ),
    "worse damage left milder": (
        a_rule('damage = ["scrape"], component = ["tyre"]', 'likelihood = "A"'),
        ["tyre/gouge is judged milder than tyre/scrape"],
    ),
}


@pytest.mark.parametrize("name", LOOSENING)
def test_an_overlay_that_loosens_is_refused_by_row_field_and_reason(
    name: str, tmp_path: Path
) -> None:
    rows, parts = LOOSENING[name]
    said = refusal(tmp_path, HEADER + rows)
    assert [part for part in parts if part not in said] == [], said


UNKNOWN_VOLTS = '[rule.unknown]\nvoltage_v_over = "met"\n'

# What is wrong in itself -> what the refusal names.
MALFORMED = {
    "no TOML": ("[[rule", ["is not valid TOML"]),
    "no header": (GOOD.replace(HEADER, ""), ["overlay", "name, revision and owner"]),
    "no owner": (GOOD.replace("owner", "boss"), ["overlay, owner", "is missing"]),
    "nothing in it": (HEADER, ["adds nothing and tightens nothing"]),
    "unknown section": (HEADER + "[[colour]]\nid = 1\n", ["shop.toml, colour"]),
    "unknown field": (GOOD.replace("because", "becuase", 1), ["SHOP-001"]),
    "a field too many": (
        GOOD.replace('basis = "j', 'mood = "good"\nbasis = "j', 1),
        ["SHOP-001, mood", "is not a field"],
    ),
    "a voltage that no car has": (
        HEADER
        + a_rule('damage = ["dent"], voltage_v_over = 1500', 'likelihood = "A"', UNKNOWN_VOLTS),
        ["voltage_v_over", "must be below 1500"],
    ),
    "negative depth": (GOOD.replace("= 2\n", "= -2\n"), ["SHOP-001, depth_mm_min", "0 or more"]),
    "a depth in words": (
        GOOD.replace("= 2\n", '= "two"\n'),
        ["SHOP-001, depth_mm_min", "must be a number"],
    ),
    "an endless depth": (GOOD.replace("= 2\n", "= inf\n"), ["SHOP-001, depth_mm_min", "finite"]),
    "a depth that is no number": (
        GOOD.replace("= 2\n", "= nan\n"),
        ["SHOP-001, depth_mm_min", "finite"],
    ),
    "unknown component": (
        HEADER + a_rule('component = ["flux_capacitor"]', 'likelihood = "A"'),
        ["SHOP-002, when, component", "'flux_capacitor'"],
    ),
    "unknown damage": (
        HEADER + a_rule('damage = ["squished"]', 'likelihood = "A"'),
        ["SHOP-002, when, damage"],
    ),
    "unknown zone": (
        GOOD.replace('"rear_end"]', '"attic"]'),
        ["shop_tow_eye_lid, zones", "'attic'"],
    ),
    "unknown model": (GOOD.replace("air_guide", "lid"), ["shop_tow_eye_lid, like", "'lid'"]),
    "unknown rule": (GOOD.replace("LIK-013", "LIK-999"), ["SHOP-001, of", "'LIK-999'"]),
    "a limit that ours does not ask": (
        GOOD.replace("depth_mm_min", "length_mm_min", 1),
        ["SHOP-001, length_mm_min", "does not ask for it"],
    ),
    "nothing stricter": (
        GOOD.replace("depth_mm_min = 2\n", ""),
        ["SHOP-001, of", "nothing in this row is stricter"],
    ),
    "a distance beyond the car": (
        HEADER + stricter("HVF-020", "hv_within_mm = 9000"),
        ["SHOP-009, hv_within_mm", "less than 5000"],
    ),
    "no example": (HEADER + DENT, ["SHOP-001: has no example"]),
    "an excuse that says nothing": (
        HEADER + a_rule("is_hv = true", 'likelihood = "A"').replace(NO_EXAMPLE, "no"),
        ["SHOP-002, no_example"],
    ),
    "example and excuse": (
        GOOD.replace('basis = "j', 'no_example = "none is needed"\nbasis = "j', 1),
        ["SHOP-001, rule"],
    ),
    "an example that does not fire": (
        GOOD.replace("depth_mm = 2 }", "depth_mm = 1 }"),
        ["SHOP-001: its example does not fire it"],
    ),
    "a near miss that fires": (
        GOOD.replace("depth_mm = 1.9", "depth_mm = 2.1"),
        ["SHOP-001: its near miss fires it"],
    ),
    "an example with another outcome": (
        GOOD.replace('likelihood = "C"', 'likelihood = "B"'),
        ["SHOP-001: its example gives"],
    ),
    "an example of our rule": (
        GOOD.replace('rule = "SHOP-001"', 'rule = "LIK-013"'),
        ["LIK-013, rule"],
    ),
    "a rule that says nothing new": (
        GOOD.replace("depth_mm = 2 }", "depth_mm = 5 }"),
        ["SHOP-001: its example is the same without it"],
    ),
    "a rule that ours is already": (
        HEADER + a_rule('family = ["surface"]', 'likelihood = "D"'),
        ["SHOP-002, when: says the same as LIK-010"],
    ),
    "an action that no rule asks for": (
        GOOD + an_action(),
        ["shop_do: no rule asks for this action"],
    ),
    "a source that nothing cites": (GOOD + MEMO, ["shop_memo: nothing cites this source"]),
    "a standard without its clause": (
        GOOD.replace('basis = "judgement"', 'basis = "standard"'),
        ["SHOP-001, cites"],
    ),
    "the same id twice": (GOOD + DENT, ["SHOP-001, id", "twice"]),
    "the same id in two sections": (
        GOOD + a_rule("is_hv = true", 'likelihood = "A"').replace("SHOP-002", "SHOP-001"),
        ["SHOP-001, id", "twice"],
    ),
    "a sign that the book has not": (HEADER + RATTLE, ["SHOP-004, sign", "'rattle'"]),
    "text over two lines": (
        GOOD.replace("more than a mark", "more than\\na mark"),
        ["SHOP-001, because", "on one line"],
    ),
    "text without end": (
        GOOD.replace("more than a mark", "x" * 700),
        ["SHOP-001, because", "longer than"],
    ),
    "a name without letters": (
        GOOD.replace("towing flap", "???"),
        ["shop_tow_eye_lid, synonyms", "no letter"],
    ),
    "rows that are no rows": (HEADER + "rule = 3\n", ["rule"]),
    "a header that is no table": ("overlay = 3\n", ["overlay"]),
    "numbers without end": (HEADER + "x = " + "9" * 5000, ["is not valid TOML"]),
    "brackets without end": ("x = " + "[" * 100_000, ["shop.toml: "]),
    "not UTF-8": (GOOD + "# caf\udce9\n", ["is not valid TOML in UTF-8"]),
}


@pytest.mark.parametrize("name", MALFORMED)
def test_a_malformed_overlay_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    text, parts = MALFORMED[name]
    path = tmp_path / "shop.toml"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(RulebookError) as caught:
        lay_over(the_book(), path)
    said = str(caught.value)
    assert "\n" not in said
    assert len(said) <= 400
    assert said.startswith("shop.toml")
    assert [part for part in parts if part not in said] == [], said


def test_a_file_too_large_is_refused_unread(tmp_path: Path) -> None:
    assert "larger than" in refusal(tmp_path, GOOD + "#" * 1_000_001)
