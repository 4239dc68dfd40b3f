"""Plans of whole cases: what is certain, what tests add, which test decides."""

from decimal import Decimal

import pytest

from rules import Evidence, EvidenceKind, OpenTestId, TestOutcome
from rules.work import WorkKind
from tests.unit.domain.plan.shop import (
    chosen_rule,
    facts_of,
    figures,
    flat_prices,
    plan_of,
)
from tests.unit.rules.book import a_finding, the_book
from triage_app.domain.plan.decision import Decision, NoLine
from triage_app.domain.plan.figures import Price
from triage_app.domain.plan.first_test import Node, Open, Settled
from triage_app.domain.plan.needs import Needs, needs_of

CABLE = a_finding("hv_cable", "severed", zone="battery_front", side="left")
DENT = a_finding("battery_lower_cover", "dent", zone="battery_mid", depth_mm=1.0, at=5000.0)
DENT_TWO = a_finding(
    "battery_lower_cover", "dent", zone="battery_mid", depth_mm=1.0, at=5000.0, finding_id="2"
)
PLATE_THREE = a_finding(
    "battery_cooling_plate", "dent", zone="battery_front", depth_mm=1.0, finding_id="3"
)
PLATE = a_finding("battery_cooling_plate", "crack", zone="battery_mid", length_mm=5.0)


def needs(*findings: object, **more: object) -> Needs:
    facts = facts_of(*findings, **more)  # type: ignore[arg-type]  # findings
    numbers = {one.finding_id: int(one.finding_id) for one in facts.findings}
    return needs_of(facts, the_book(), numbers=numbers)


def failed(test: str, finding: str | None = "1") -> Evidence:
    return Evidence(
        id=f"{test} failed",
        kind=EvidenceKind.TEST_RESULT,
        finding_id=finding,
        test=OpenTestId(test),
        outcome=TestOutcome.NOT_MET,
        has_criterion=True,
    )


# ------------------------------------------------------------------ what is certain


def test_a_cut_cable_is_replaced_whatever_the_tests_say() -> None:
    found = needs(CABLE)
    assert found.findings[0].operation == "replace:hv_cable@battery_front/left"
    assert "make_safe" in found.certain
    done = found.workshop.closure(found.certain)
    assert {"connector_seals", "isolation_after", "re_energise", "skid_plate_on"} <= done


def test_a_dented_cover_is_cleaned_if_every_test_is_met_and_replaced_if_one_is_not() -> None:
    found = needs(DENT)
    assert found.findings[0].kind is WorkKind.CLEAN
    adds = {
        outcome.id: outcome.adds for question in found.questions for outcome in question.outcomes
    }
    assert adds["maker_criterion_part"] == {"replace:battery_lower_cover"}
    assert adds["cell_data_not"] == {"battery_replaced"}
    assert adds["cell_data_met"] == frozenset()


def test_what_no_test_answers_counts_as_replaced() -> None:
    burned = a_finding("battery_enclosure", "burn_or_arc_mark", zone="battery_front")
    (finding,) = needs(burned).findings
    assert finding.kind is WorkKind.REPLACE
    assert finding.no_test_answers


def test_a_test_that_was_not_met_leaves_only_what_that_leads_to() -> None:
    found = needs(DENT, evidence=(failed("cell_data"),))
    question = next(one for one in found.questions if one.test == "cell_data")
    assert question.is_failed
    assert [outcome.id for outcome in question.outcomes] == ["cell_data_not"]
    assert not any(one.is_failed for one in found.questions if one.test != "cell_data")


def test_a_part_that_was_replaced_stays_in_the_plan() -> None:
    replaced = Evidence(id="r", kind=EvidenceKind.PART_REPLACED, finding_id="1")
    (finding,) = needs(DENT, evidence=(replaced,)).findings
    assert finding.kind is WorkKind.REPLACE


def test_two_findings_on_one_part_are_one_part_and_two_places_are_two() -> None:
    arms = [
        a_finding("suspension_arm", "crack", zone=zone, at=5000.0, finding_id=number)
        for number, zone in (("1", "front_left"), ("2", "front_right"), ("3", "front_left"))
    ]
    found = needs(*arms)
    assert {one.operation for one in found.findings} == {
        "replace:suspension_arm@front_left",
        "replace:suspension_arm@front_right",
    }
    done = found.workshop.closure(found.certain)
    assert {"wheel_off@front_left", "wheel_on@front_right"} <= done
    assert "wheel_alignment_set" in done


def test_safing_comes_first_and_the_parts_go_back_in_the_reverse_order() -> None:
    rows = [row.operation for row in plan_of(CABLE, DENT_TWO).if_met.rows]
    place = {name: at for at, name in enumerate(rows)}
    assert rows[:2] == ["scan_before", "make_safe"]
    cable = place["replace:hv_cable@battery_front/left"]
    assert place["front_shield_off"] < cable < place["skid_plate_on"] < place["re_energise"]
    assert place["isolation_after"] > cable
    assert rows[-1] == "scan_after" or "storage" in rows[-2:]


# ------------------------------------------------------------------ range and decision


def test_a_cut_cable_is_no_whole_battery_once_the_tests_are_in() -> None:
    """The question that people get wrong: hit, so 14,000.00; met, it is a cable."""
    plan = plan_of(CABLE, rule=chosen_rule("60"))
    assert plan.if_met.net < 150_000
    assert plan.battery_bill is not None
    assert plan.battery_bill.net > 1_400_000
    assert plan.hinges.decision is None
    assert plan.hinges.possible == {Decision.REPAIR, Decision.TOTAL_LOSS}
    assert plan.hinges.tests == ("isolation_resistance",)


def test_replacing_the_battery_takes_the_place_of_work_on_its_cover() -> None:
    plan = plan_of(DENT)
    assert plan.battery_bill is not None
    with_battery = {row.operation for row in plan.battery_bill.rows}
    without = {row.operation for row in plan.if_met.rows}
    assert "clean:battery_lower_cover" in without - with_battery
    assert {"battery_replaced", "freight_battery", "disposal_battery"} <= with_battery - without


def test_without_a_rule_a_whole_battery_is_told_from_a_repair_and_what_is_missing_is_said() -> None:
    plan = plan_of(DENT)
    assert plan.line == NoLine(missing=("No total-loss rule is chosen.",))
    assert plan.hinges.possible == {Decision.REPAIR, Decision.WHOLE_BATTERY}


def test_a_cheap_whole_battery_is_chosen_before_a_dear_repair() -> None:
    burned = a_finding("battery_enclosure", "burn_or_arc_mark", zone="battery_front")
    dear = {"replace:battery_enclosure": Price(hours=Decimal(4), part=Decimal("20000.00"))}
    plan = plan_of(burned, given=figures(flat_prices() | dear), value=None)
    assert plan.hinges.decision is Decision.WHOLE_BATTERY
    assert plan.least_bill is not None
    assert "battery_replaced" in {row.operation for row in plan.least_bill.rows}


def test_a_battery_that_failed_its_test_is_settled() -> None:
    facts = facts_of(DENT, evidence=(failed("cell_data"),))
    found = needs_of(facts, the_book(), numbers={"1": 1})
    assert found.whole_battery == "battery_replaced"
    adds = [outcome.adds for one in found.questions if one.is_failed for outcome in one.outcomes]
    assert adds == [frozenset(["battery_replaced"])]


def test_the_bills_of_least_and_most_are_those_of_the_span() -> None:
    plan = plan_of(CABLE, DENT_TWO, PLATE_THREE, rule=chosen_rule("70"))
    assert plan.least_bill is not None
    assert plan.most_bill is not None
    assert (plan.span.least, plan.span.most) == (plan.least_bill.net, plan.most_bill.net)


def test_missing_prices_leave_the_decision_unknown_and_say_so() -> None:
    prices = flat_prices()
    del prices["replace:hv_cable"]
    plan = plan_of(CABLE, given=figures(prices), rule=chosen_rule("60"))
    assert Decision.UNKNOWN in plan.hinges.possible
    assert Decision.REPAIR not in plan.hinges.possible


# ------------------------------------------------------------------ first test


def test_the_first_test_is_one_that_only_looks() -> None:
    plan = plan_of(DENT, rule=chosen_rule("60"))
    assert isinstance(plan.tree, Node)
    assert plan.tree.question.care == 1
    assert [one.care for one in plan.tests if not one.is_held_back] == sorted(
        one.care for one in plan.tests if not one.is_held_back
    )


def test_among_equals_the_cheaper_test_comes_first() -> None:
    cheap = {"test:cell_data": Price(hours=Decimal("0.1"))}
    plan = plan_of(DENT, given=figures(flat_prices() | cheap), rule=chosen_rule("60"))
    assert isinstance(plan.tree, Node)
    assert plan.tree.question.id == "cell_data"
    looks = [branch.then for branch in plan.tree.branches if not branch.outcomes[0].met]
    assert looks == [Settled(decision=Decision.TOTAL_LOSS)]


def test_a_cooling_plate_that_may_be_breached_is_not_pressurised_first() -> None:
    held = plan_of(PLATE, rule=chosen_rule("60"))
    question = held.question("battery_cooling_hold")
    assert question.is_held_back
    assert held.tests[-1].is_held_back
    assert not isinstance(held.tree, Node) or not held.tree.question.is_held_back
    directed = plan_of(
        PLATE, rule=chosen_rule("60"), directed=frozenset([OpenTestId("battery_cooling_hold")])
    )
    assert not directed.question("battery_cooling_hold").is_held_back


def opens(tree: Node | Open | Settled) -> list[Open]:
    if isinstance(tree, Node):
        return [one for branch in tree.branches for one in opens(branch.then)]
    return [tree] if isinstance(tree, Open) else []


def test_where_only_a_test_held_back_is_left_the_tree_waits_for_the_maker() -> None:
    plan = plan_of(PLATE, rule=chosen_rule("60"))
    ends = opens(plan.tree)
    assert all(end.tests for end in ends)
    for end in ends:
        if end.held_back:
            assert all(plan.question(name).is_held_back for name in end.tests)


# ------------------------------------------------------------------ probabilities


def test_with_probabilities_cost_and_chance_are_worked_by_hand() -> None:
    """One hinge test: 0.8 met, 0.15 outside, 0.05 in the battery."""
    plan = plan_of(CABLE, rule=chosen_rule("60"))
    question = plan.question("isolation_resistance")
    share = {"isolation_resistance_met": "0.80", "isolation_battery": "0.05"}
    given = {
        "isolation_resistance": {
            one.id: Decimal(share.get(one.id, "0.15")) for one in question.outcomes
        }
    }
    live = set(plan.space.live)
    others = {
        one.id: {out.id: Decimal(int(out.met)) for out in one.outcomes}
        for one in plan.needs.questions
        if one.id in live and one.id != question.id
    }
    told = plan_of(CABLE, rule=chosen_rule("60"), chances=given | others)
    assert told.expected is not None
    assert told.expected.decisions == {
        Decision.REPAIR: Decimal("0.95"),
        Decision.TOTAL_LOSS: Decimal("0.05"),
    }
    met = told.if_met.net
    fault = 0.5 * 12000  # looking for the fault: half an hour at 120.00
    battery = sum(one.net for one in [told.most_bill] if one is not None)
    by_hand = Decimal("0.80") * met + Decimal("0.15") * (met + int(fault))
    assert told.expected.net == by_hand + Decimal("0.05") * battery
    assert told.expected.tests == told.test_costs["test:isolation_resistance"]


def test_without_probabilities_none_is_made_up() -> None:
    plan = plan_of(CABLE, rule=chosen_rule("60"))
    assert plan.expected is None
    assert "isolation_resistance" in plan.without_chances


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"cell_data_met": "0.9"}, "give all or none"),
        ({"cell_data_met": "0.9", "cell_data_not": "0.2"}, "sum to 1.1"),
        ({"cell_data_met": "1.1", "cell_data_not": "-0.1"}, "between 0 and 1"),
        ({"cell_data_met": "1", "cell_data_not": "0", "cell_data_perhaps": "0"}, "no outcome"),
    ],
)
def test_probabilities_that_cannot_be_are_refused(given: dict[str, str], says: str) -> None:
    chances = {"cell_data": {name: Decimal(value) for name, value in given.items()}}
    with pytest.raises(ValueError, match=says):
        plan_of(DENT, chances=chances)
