"""How long a plan of 60 findings with 12 outstanding tests that matter takes; prints, asserts none.

``make bench`` runs it. The wanted figure is under 1 s.
"""

import time
from dataclasses import replace

import pytest

from rules import CaseFacts
from tests.unit.domain.plan.shop import chosen_rule, figures
from tests.unit.rules.book import a_car, a_finding, the_book
from triage_app.domain.plan.plan import Plan, PlanInputs, make_plan

_PARTS = (
    ("under_shield_front", "fracture", "front_end"),
    ("drive_shaft", "tear", "front_left"),
    ("suspension_arm", "crack", "front_right"),
    ("fan_shroud", "crack", "front_end"),
    ("fasteners", "corrosion", "front_centre"),
)


def sixty_findings() -> CaseFacts:
    """Return 60 findings: a dented battery and a few others with tests, the rest certain work."""
    first = [
        a_finding("battery_lower_cover", "dent", zone="battery_mid", depth_mm=1.0),
        a_finding("hv_cable", "severed", zone="battery_front", side="left"),
        a_finding("front_cross_member", "deformation", zone="front_centre", at=5000.0),
        a_finding("radiator", "leak", zone="front_end"),
        a_finding("skid_plate", "tear", zone="front_centre", side="left"),
    ]
    more = [
        a_finding(part, damage, zone=zone, at=5000.0, side="left", length_mm=float(10 + number))
        for number in range(12)
        for part, damage, zone in _PARTS
    ]
    findings = [
        replace(one, finding_id=str(number)) for number, one in enumerate([*first, *more][:60], 1)
    ]
    return CaseFacts(vehicle=a_car(), findings=tuple(findings))


def timed_plan(facts: CaseFacts) -> tuple[Plan, float]:
    numbers = {one.finding_id: int(one.finding_id) for one in facts.findings}
    inputs = PlanInputs(figures=figures(), total_loss=chosen_rule("60"))
    inputs = replace(inputs, value=figures().prices["battery_replaced"].part)
    book = the_book()
    start = time.perf_counter()
    plan = make_plan(facts, book, inputs, numbers=numbers)
    return plan, time.perf_counter() - start


@pytest.mark.bench
def test_a_plan_of_sixty_findings() -> None:
    plan, seconds = timed_plan(sixty_findings())
    assert len(plan.findings) == 60
    assert len(plan.space.live) >= 12
    print(
        f"\nplan of {len(plan.findings)} findings, {len(plan.needs.questions)} tests, "
        f"{len(plan.space.live)} of them make a difference, {plan.space.count} combinations, "
        f"{len(plan.hinges.tests)} hinges: {seconds:.2f} s (wanted: under 1 s)"
    )
