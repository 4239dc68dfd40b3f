"""Isolation island by island: outstanding until measured, and never closed by arithmetic alone."""

from dataclasses import replace

from rules import TestOutcome
from tests.builders import a_case, a_finding, some_tags
from tests.safing_records import COMPONENTS, entered
from triage_app.domain.case import Case
from triage_app.domain.ids import FindingId
from triage_app.domain.isolation import CurrentSystem, IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.islands import (
    OUTSTANDING,
    finding_of,
    isolation_by_island,
    isolation_evidence,
    not_measured,
)
from triage_app.domain.safing.points import WHOLE_BUS, points_of

CUT = a_case(a_finding(2, tags=some_tags("hv_cable", "severed")))
BATTERY_END = "finding 2, HV cable: end towards the battery"
FAR_END = "finding 2, HV cable: end away from the battery"
# Worked examples X1 (1250 ohm/V) and X3 (75 ohm/V) of the facts, computed there by hand.
X1 = TwoVoltages(vb=400, v1=240, v2=160, resistor_ohm=200_000, v_prime=96)
X3 = TwoVoltages(vb=400, v1=66.6667, v2=333.3333, resistor_ohm=200_000, v_prime=296.2963)


def measured(island: str, two: TwoVoltages = X1) -> IsolationMeasurement:
    return IsolationMeasurement(
        island=island,
        working_v=400,
        system=CurrentSystem.DC_ONLY,
        two_voltages=two,
        instrument="meter M-1",
        procedure="invented manual, page 9",
    )


def with_measured(case: Case, *whats: IsolationMeasurement) -> Case:
    return replace(case, safing=entered(whats))


def test_each_island_is_outstanding_until_it_is_measured_itself() -> None:
    case = with_measured(CUT, measured(BATTERY_END))
    found = {one.island: one for one in isolation_by_island(case, points_of(case, COMPONENTS))}
    assert not found[BATTERY_END].is_outstanding
    assert found[BATTERY_END].said == "not below the reference; compare the maker's value"
    assert found[FAR_END].is_outstanding
    assert found[FAR_END].said == OUTSTANDING
    assert sum(one.is_outstanding for one in found.values()) == len(found) - 1


def test_a_whole_bus_is_one_island_with_all_points() -> None:
    points = points_of(a_case(), COMPONENTS)
    [one] = isolation_by_island(a_case(), points)
    assert (one.island, len(one.points)) == (WHOLE_BUS, len(points))
    assert not_measured((one,)).endswith(f"below the reference: {WHOLE_BUS}.")


def test_below_the_reference_stays_outstanding_and_a_later_one_does_not_hide_it() -> None:
    below = with_measured(a_case(), measured(WHOLE_BUS, X3))
    [one] = isolation_by_island(below, points_of(below, COMPONENTS))
    assert one.is_outstanding
    assert one.said == "below the reference"
    later = with_measured(a_case(), measured(WHOLE_BUS, X3), measured(WHOLE_BUS))
    [one] = isolation_by_island(later, points_of(later, COMPONENTS))
    assert not one.is_outstanding
    assert one.said.endswith("(an earlier measurement was below the reference)")
    assert not_measured((one,)) == ""


def test_the_result_is_never_a_criterion_met() -> None:
    below, not_below = (isolation_evidence(measured(WHOLE_BUS, two)) for two in (X3, X1))
    assert below.outcome is TestOutcome.NOT_MET
    assert not_below.outcome is TestOutcome.INCONCLUSIVE
    assert (not_below.value, not_below.unit) == (500_000, "ohm")
    assert "1250 ohm/V, not below the reference; compare the maker's value" in not_below.note


def test_an_island_belongs_to_the_finding_that_made_it() -> None:
    points = points_of(CUT, COMPONENTS)
    assert finding_of(CUT, FAR_END, points) == FindingId("F2")
    assert finding_of(CUT, "front drive unit", points) is None
