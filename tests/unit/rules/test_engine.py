"""How findings are judged: the worst counts, the trace is whole, safing cannot be lost."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations

import pytest

from rules import (
    Basis,
    CaseAssessment,
    CaseFacts,
    Consequence,
    Disposition,
    Facts,
    FactsError,
    HvFlag,
    Likelihood,
    Powertrain,
    Risk,
    RuleId,
    VehicleFacts,
    assess,
)
from rules.rule import Outcome
from tests.unit.rules.book import NO_SIGNS, a_finding, judge, judge_case, the_book

# The demo car, from the truth of its synthetic photos: 12 findings, distances as measured there.
DEMO = (
    a_finding("skid_plate", "tear", zone="front_centre", hv_conductor_visible=True),
    a_finding("hv_cable", "severed", zone="battery_front", hangs_free=False),
    a_finding("hv_cable", "severed", zone="front_centre", hangs_free=False),
    a_finding("battery_enclosure", "burn_or_arc_mark", zone="battery_front"),
    a_finding("drive_unit_mount_bracket", "crack", zone="front_centre", at=387.7),
    a_finding("front_cross_member", "deformation", zone="front_centre", at=334.6),
    a_finding("fan_shroud", "crack", zone="front_end", at=616.5),
    a_finding("radiator", "leak", zone="front_end", at=658.8),
    a_finding("battery_enclosure", "scrape", zone="battery_mid", depth_mm=0.2),
    a_finding("under_shield_front", "missing", zone="front_end", at=847.5),
    a_finding("fasteners", "corrosion", zone="front_centre", side="right", at=622.5),
    a_finding("fasteners", "corrosion", zone="front_centre", side="left", at=434.8),
)


def demo_car() -> tuple[Facts, ...]:
    return tuple(replace(one, finding_id=str(number)) for number, one in enumerate(DEMO, start=1))


def test_an_empty_case_is_not_assessed_rather_than_low() -> None:
    case = judge_case()
    assert case.risk is None
    assert case.findings == ()
    assert case.hv_flag is HvFlag.NONE


def test_a_finding_of_which_nothing_is_said_is_the_worst_of_all() -> None:
    found = judge()
    assert found.risk is Risk.HIGH
    assert found.consequence is Consequence.CATASTROPHIC
    assert found.likelihood is Likelihood.A
    assert found.hv_flag is HvFlag.AT_HV
    assert found.disposition is Disposition.TEST_FIRST
    assert "identify_part" in {test.id for test in found.open_tests}


def test_risk_is_read_from_table_iii_at_the_worst_consequence_and_likelihood() -> None:
    found = judge("front_cross_member", "deformation", zone="front_centre")
    assert (found.consequence, found.likelihood) == (Consequence.CRITICAL, Likelihood.C)
    assert found.risk is the_book().risk_matrix[found.consequence, found.likelihood]


def test_the_deciding_rules_are_among_the_reasons_and_set_the_risk() -> None:
    found = judge("battery_enclosure", "scrape", zone="battery_mid")
    rules = {reason.rule_id: the_book().rules[reason.rule_id] for reason in found.reasons}
    assert set(found.decided_by) == {"CON-041", "LIK-035"}
    for rule_id in found.decided_by:
        then = rules[rule_id].then
        assert found.consequence is then.consequence or found.likelihood is then.likelihood


def test_every_reason_says_why_and_on_which_facts() -> None:
    for finding in judge_case(*demo_car()).findings:
        assert finding.reasons
        for reason in finding.reasons:
            assert reason.because.endswith(".")
            assert reason.facts
            assert reason.citations or reason.basis in {Basis.JUDGEMENT, Basis.COMMON_PRACTICE}


def test_the_reasons_are_in_the_order_of_their_ids() -> None:
    for finding in judge_case(*demo_car()).findings:
        ids = [reason.rule_id for reason in finding.reasons]
        assert ids == sorted(ids)


def test_what_was_taken_as_worst_is_named() -> None:
    found = judge("fasteners", "corrosion", zone="front_centre", distance_to_hv_mm=600.0)
    [reason] = [one for one in found.reasons if one.rule_id == "HVF-011"]
    assert reason.unmeasured == ("distance_uncertainty_mm", "covers_off")


def test_nothing_is_named_as_unmeasured_when_everything_was_said() -> None:
    found = judge("fasteners", "corrosion", zone="front_centre", at=600.0)
    assert all(not reason.unmeasured for reason in found.reasons)


def test_the_hv_reasons_name_the_nearer_degree_first() -> None:
    found = judge("under_shield_front", "tear", zone="front_centre")
    flags = [the_book().rules[reason.rule_id].then.hv_flag for reason in found.hv_reasons]
    assert flags == sorted(flags, key=lambda flag: -(flag or 0))
    assert {HvFlag.AT_HV, HvFlag.WITHIN_REACH} <= set(flags)


@pytest.mark.parametrize(
    ("facts", "flag"),
    [
        (a_finding("hv_cable", "scrape"), HvFlag.AT_HV),
        (a_finding("wheel", "scrape", zone="rear_left"), HvFlag.WITHIN_REACH),
    ],
    ids=["at HV", "within reach"],
)
def test_every_flag_brings_the_safing_actions_in_their_order(facts: Facts, flag: HvFlag) -> None:
    [found] = judge_case(facts).findings
    assert found.hv_flag is flag
    safing = [str(action.id) for action in found.actions if action.is_safing]
    assert safing[:3] == ["maker_procedure_first", "barrier_and_signs", "no_charger_no_wheels"]
    assert safing.index("de_energise_and_lock") < safing.index("prove_read_prove")
    assert "battery_stays_energised" in safing
    assert ("senior_review" in safing) is (flag is HvFlag.AT_HV)
    orders = [action.order for action in found.actions]
    assert orders == sorted(orders)


def test_without_a_flag_no_safing_is_asked_for() -> None:
    found = judge("wheel", "scrape", zone="rear_left", at=1500.0)
    assert not any(action.is_safing for action in found.actions)


def test_the_safing_actions_stay_even_if_every_rule_asks_for_no_action() -> None:
    book = the_book()
    bare = replace(
        book,
        pairs={
            pair: replace(
                of_pair,
                alone=tuple(
                    replace(
                        one,
                        rule=replace(one.rule, then=_without_actions(one.rule.then)),
                        ready=None,
                    )
                    for one in of_pair.alone
                ),
            )
            for pair, of_pair in book.pairs.items()
        },
    )
    case = CaseFacts(
        vehicle=VehicleFacts(system_voltage_v=400.0, signs=NO_SIGNS),
        findings=(a_finding("hv_cable", "severed"),),
    )
    given = {action.id for action in assess(case, bare).findings[0].actions}
    assert given == book.safing_actions[HvFlag.AT_HV]


def _without_actions(then: Outcome) -> Outcome:
    return replace(then, actions=frozenset())


def test_the_first_words_on_high_voltage_name_the_maker_and_local_codes() -> None:
    first = next(action for action in judge("hv_cable", "scrape").actions if action.is_safing)
    for word in ("maker", "first", "Local", "codes", "licensed or qualified"):
        assert word in first.text


def test_no_text_of_the_book_says_that_anything_is_safe() -> None:
    book = the_book()
    texts = [rule.because for rule in book.rules.values()]
    texts += [stop.reason.because for stop in book.stop_rules.values()]
    texts += [action.text for action in book.actions.values()]
    texts += [test.text for test in book.open_tests.values()]
    assert not [text for text in texts if " safe" in f" {text.lower()}".replace("make-safe", "")]


def test_a_case_takes_the_worst_of_its_findings_and_the_union_of_what_they_ask() -> None:
    case = judge_case(*demo_car())
    assert case.risk == max(finding.risk for finding in case.findings)
    assert case.hv_flag == max(finding.hv_flag for finding in case.findings)
    assert case.signal_word == max(finding.signal_word for finding in case.findings)
    asked = {action.id for finding in case.findings for action in finding.actions}
    assert {action.id for action in case.actions} == asked
    tests = {test.id for finding in case.findings for test in finding.open_tests}
    assert {test.id for test in case.open_tests} == tests


def test_the_demo_car_separates_the_queue_from_what_is_only_within_reach() -> None:
    flags = [finding.hv_flag for finding in judge_case(*demo_car()).findings]
    assert (flags.count(HvFlag.AT_HV), flags.count(HvFlag.WITHIN_REACH)) == (7, 5)
    risks = [finding.risk for finding in judge_case(*demo_car()).findings]
    assert [risks.count(one) for one in sorted(Risk, reverse=True)] == [5, 2, 4, 1, 0]


def test_the_order_of_the_findings_never_matters() -> None:
    three = demo_car()[3], demo_car()[7], demo_car()[9]
    wanted = {one.finding_id: one for one in judge_case(*three).findings}
    for shuffled in permutations(three):
        case = judge_case(*shuffled)
        assert {one.finding_id: one for one in case.findings} == wanted
        assert [one.finding_id for one in case.findings] == [one.finding_id for one in shuffled]


def test_a_reason_across_findings_names_the_other_finding() -> None:
    case = judge_case(
        a_finding("radiator", "leak", finding_id="drip", zone="front_end"),
        a_finding("hv_connector", "crack", finding_id="plug", zone="front_centre"),
    )
    reasons = {reason.rule_id: reason for reason in case.of("drip").reasons}
    assert reasons[RuleId("CMB-002")].with_findings == ("plug",)
    assert "HV connector" in reasons[RuleId("CMB-002")].facts[-1]


def test_a_finding_is_never_its_own_neighbour() -> None:
    found = judge("battery_enclosure", "leak", zone="battery_front")
    assert not any(reason.rule_id.startswith("CMB") for reason in found.reasons)


def test_two_leaks_are_each_others_neighbours() -> None:
    case = judge_case(
        a_finding("battery_enclosure", "leak", finding_id="a", zone="battery_front"),
        a_finding("hv_connector", "ingress", finding_id="b", zone="battery_front"),
    )
    for one, other in (("a", "b"), ("b", "a")):
        reasons = {reason.rule_id: reason for reason in case.of(one).reasons}
        assert reasons[RuleId("CMB-003")].with_findings == (other,)


def test_a_neighbour_whose_zone_nobody_gave_counts_as_near() -> None:
    near = judge_case(
        a_finding("fasteners", "corrosion", zone="rear_end", at=2000.0),
        a_finding("exhaust", "burn_or_arc_mark", finding_id="2"),
    ).of("1")
    assert near.hv_flag is HvFlag.AT_HV


def test_an_unidentified_finding_counts_as_a_hanging_cut_cable_to_the_others() -> None:
    bolt = a_finding("fasteners", "corrosion", zone="rear_end", at=4000.0)
    assert judge_case(bolt).findings[0].hv_flag is HvFlag.NONE
    with_unknown = judge_case(bolt, a_finding(finding_id="2", zone="front_centre"))
    assert with_unknown.of("1").hv_flag is HvFlag.WITHIN_REACH


@pytest.mark.parametrize("hangs", [True, None], ids=["hangs", "nobody said"])
def test_a_cut_cable_that_may_hang_reaches_round_the_whole_car(*, hangs: bool | None) -> None:
    case = judge_case(
        a_finding("wheel", "scrape", zone="rear_left", at=4500.0),
        a_finding("hv_cable", "severed", finding_id="2", zone="front_centre", hangs_free=hangs),
    )
    found = case.of("1")
    assert found.hv_flag is HvFlag.WITHIN_REACH
    assert "keep_off_cable_end" in {action.id for action in found.actions}


@pytest.mark.parametrize("volts", [None, 0.0, 11.9], ids=["unknown", "zero", "no drive battery"])
def test_a_voltage_that_is_unknown_or_not_to_be_believed_counts_as_high(
    volts: float | None,
) -> None:
    assert judge("skid_plate", "scrape", volts=volts).hv_flag is HvFlag.AT_HV
    assert judge("wheel", "scrape", volts=volts, zone="rear_left").hv_flag is HvFlag.WITHIN_REACH


@pytest.mark.parametrize(
    ("drive", "volts", "words"),
    [
        pytest.param(Powertrain.BATTERY_ELECTRIC, 40.0, "not believed", id="40 typed for 400"),
        pytest.param(Powertrain.PLUG_IN_HYBRID, 60.0, "not believed", id="60 is not above 60"),
        pytest.param(Powertrain.HYBRID, 48.0, "not believed", id="a full hybrid is no 48 V car"),
        pytest.param(Powertrain.UNKNOWN, 48.0, "not believed", id="nobody said which drive"),
        pytest.param(Powertrain.MILD_HYBRID_48V, 11.9, "not believed", id="no drive battery"),
        pytest.param(Powertrain.MILD_HYBRID_48V, None, "not known", id="48 V, never written down"),
        pytest.param(Powertrain.MILD_HYBRID_48V, 60.1, "60.1 V, class B", id="just class B"),
        pytest.param(Powertrain.BATTERY_ELECTRIC, 400.0, "400 V, class B", id="400 V"),
    ],
)
def test_only_a_48_volt_mild_hybrid_is_ever_taken_as_low(
    drive: Powertrain, volts: float | None, words: str
) -> None:
    found = judge("skid_plate", "puncture", volts=volts, drive=drive, at=4000.0)
    assert found.hv_flag is HvFlag.AT_HV
    behind = next(one for one in found.reasons if one.rule_id == "HVF-002")
    assert words in behind.facts[-1]


def test_a_48_volt_mild_hybrid_has_no_high_voltage_behind_its_skid_plate() -> None:
    low = judge("skid_plate", "scrape", volts=48.0, drive=Powertrain.MILD_HYBRID_48V, at=4000.0)
    assert low.hv_flag is HvFlag.NONE


@pytest.mark.parametrize(
    "facts",
    [
        {"component": "hv_cable", "damage": "contamination"},
        {"component": "wheel", "damage": "burn_or_arc_mark"},
        {"component": "wheel", "damage": "scrape", "hv_conductor_visible": True},
        {"component": "wheel", "damage": "scrape", "near_orange_area": True},
        {"component": "wheel", "damage": "scrape", "at": 200.0},
        {"component": None, "damage": "scrape"},
    ],
    ids=["HV part", "arc mark", "conductor", "orange area", "HV measured near", "unidentified"],
)
def test_a_recorded_48_v_never_silences_what_was_seen(facts: dict[str, object]) -> None:
    found = a_finding(**{"zone": "rear_left", **facts})  # type: ignore[arg-type]  # by name
    assert judge_case(found, volts=48.0).findings[0].hv_flag is HvFlag.AT_HV


@pytest.mark.parametrize("damage", ["leak", "ingress", "burn_or_arc_mark", "melted"])
def test_a_distance_never_clears_fluid_burn_or_arc_where_hv_runs(damage: str) -> None:
    found = judge("coolant_hose", damage, zone="front_centre", at=5000.0)
    assert found.hv_flag is HvFlag.AT_HV


@pytest.mark.parametrize("covers_off", [False, None])
def test_a_distance_under_covers_clears_nothing(*, covers_off: bool | None) -> None:
    found = judge(
        "fasteners",
        "corrosion",
        zone="front_centre",
        distance_to_hv_mm=5000.0,
        distance_uncertainty_mm=5.0,
        covers_off=covers_off,
    )
    assert found.hv_flag is HvFlag.AT_HV


def test_a_sign_the_book_does_not_know_is_refused() -> None:
    with pytest.raises(FactsError, match="no warning sign 'sparks'"):
        _with_signs({**NO_SIGNS, "sparks": True})


def _with_signs(signs: Mapping[str, bool | None]) -> CaseAssessment:
    return assess(CaseFacts(vehicle=VehicleFacts(signs=signs), findings=()), the_book())


@pytest.mark.parametrize(
    "name",
    ["length_mm", "width_mm", "depth_mm", "distance_to_hv_mm", "distance_uncertainty_mm"],
)
@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")], ids=str)
def test_a_size_that_cannot_be_is_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(FactsError, match=name):
        a_finding("wheel", "scrape", **{name: value})


@pytest.mark.parametrize("volts", [-1.0, 1500.1, float("nan")], ids=str)
def test_a_voltage_that_cannot_be_is_refused(volts: float) -> None:
    with pytest.raises(FactsError, match="system_voltage_v"):
        VehicleFacts(system_voltage_v=volts, signs={})


def test_the_assessment_carries_the_stamp_of_its_book() -> None:
    stamp = judge_case().stamp
    assert stamp == the_book().stamp
    assert len(stamp.sha256) == 64
