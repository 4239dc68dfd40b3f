# ruff: noqa: E501  # one situation a line
"""What records leave of a finding, as a careful technician would say it: one row each.

Columns: what is found, what is on record of it (accepted), and then what remains: likelihood,
risk, repair needed, and the tests that are still outstanding. Basis of all rows: judgement, by
MIL-STD-882E tables II and III (read in copies) for the letters and the risk.
"""

from typing import NamedTuple

import pytest

from rules import (
    CaseFacts,
    Disposition,
    Evidence,
    EvidenceKind,
    Facts,
    OpenTestId,
    TestOutcome,
    assess,
)
from tests.unit.rules.book import a_car, a_finding, the_book

LEAVE, CLEAN, REPAIR, TEST, REPLACE = Disposition
MET, NOT_MET, UNCLEAR = TestOutcome


def result(outcome: TestOutcome, *tests: str, criterion: bool = True) -> tuple[Evidence, ...]:
    """Return one accepted result for each test."""
    return tuple(
        Evidence(
            id=f"{test} {outcome} {criterion}",
            kind=EvidenceKind.TEST_RESULT,
            finding_id="1",
            test=OpenTestId(test),
            outcome=outcome,
            has_criterion=criterion,
        )
        for test in tests
    )


def met(*tests: str) -> tuple[Evidence, ...]:
    return result(MET, *tests)


def not_met(*tests: str) -> tuple[Evidence, ...]:
    return result(NOT_MET, *tests)


def no_criterion(*tests: str) -> tuple[Evidence, ...]:
    return result(MET, *tests, criterion=False)


def maker(what: Disposition) -> tuple[Evidence, ...]:
    kind = EvidenceKind.MAKER_INSTRUCTION
    return (Evidence(id=f"maker {what}", kind=kind, finding_id="1", instruction=what),)


REPLACED = (Evidence(id="new", kind=EvidenceKind.PART_REPLACED, finding_id="1"),)
PACK = ("maker_criterion", "isolation_resistance", "cell_data", "enclosure_seal",
        "enclosure_inside", "battery_cooling_hold")  # fmt: skip


class Situation(NamedTuple):
    name: str
    found: Facts
    on_record: tuple[Evidence, ...]
    left: str  # likelihood, risk
    repair: Disposition
    open_tests: str = ""


def f(component: str, damage: str, zone: str, **facts: object) -> Facts:
    return a_finding(component, damage, zone=zone, hv_conductor_visible=False, **facts)


CUT = f("hv_cable", "severed", "front_centre", hangs_free=False)
SCRAPED = f("hv_cable", "scrape", "front_centre")
DENTED = f("battery_enclosure", "dent", "battery_mid", depth_mm=4.0)
PLATE = f("battery_cooling_plate", "puncture", "battery_mid")
HOSE = f("coolant_hose", "leak", "front_centre")
SHIELD = f("skid_plate", "puncture", "front_centre")

# fmt: off
SITUATIONS = [
    # ------------------------------------------------ HV cables, plugs and fuses
    Situation("HV cable cut: isolation of its island met, nothing replaced", CUT, met("isolation_resistance"), "A high", REPLACE, "hv_circuit"),
    Situation("HV cable cut: every test of the book met, nothing replaced", CUT, met(*sorted(the_book().open_tests)), "A high", REPLACE),
    Situation("HV cable cut and replaced: nothing tested", CUT, REPLACED, "A high", REPLACE, "hv_circuit isolation_resistance"),
    Situation("HV cable cut and replaced: isolation met on the island, circuit open", CUT, (*REPLACED, *met("isolation_resistance")), "A high", REPLACE, "hv_circuit"),
    Situation("HV cable cut and replaced: isolation and circuit met", CUT, (*REPLACED, *met("isolation_resistance", "hv_circuit")), "F eliminated", LEAVE),
    Situation("HV cable cut and replaced: circuit met, but nobody typed its criterion in", CUT, (*REPLACED, *met("isolation_resistance"), *no_criterion("hv_circuit")), "A high", REPLACE, "hv_circuit maker_criterion"),
    Situation("HV cable cut and replaced: isolation of the new one not met", CUT, (*REPLACED, *not_met("isolation_resistance"), *met("hv_circuit")), "A high", REPLACE, "isolation_resistance"),
    Situation("HV cable scraped: isolation met alone", SCRAPED, met("isolation_resistance"), "C high", TEST, "hv_circuit maker_criterion"),
    Situation("HV cable scraped: isolation, circuit and maker's criterion met", SCRAPED, met("isolation_resistance", "hv_circuit", "maker_criterion"), "D serious", CLEAN),
    Situation("HV cable scraped: all met, but the second circuit test was not", SCRAPED, (*met("isolation_resistance", "hv_circuit", "maker_criterion"), *not_met("hv_circuit")), "A high", REPLACE, "hv_circuit"),
    Situation("HV cable scraped: all met, the maker says replace", SCRAPED, (*met("isolation_resistance", "hv_circuit", "maker_criterion"), *maker(REPLACE)), "C high", REPLACE),
    Situation("HV cable scraped: the maker says leave it, nothing tested", SCRAPED, maker(LEAVE), "C high", TEST, "hv_circuit isolation_resistance maker_criterion"),
    Situation("fired pyro fuse: isolation met, the fuse is still the old one", f("hv_fuse", "burn_or_arc_mark", "battery_front"), met("isolation_resistance", "hv_circuit"), "A high", REPLACE),
    Situation("water in an HV plug's seal: isolation met while it was dry", f("hv_connector_seal", "ingress", "battery_front"), met("isolation_resistance", "hv_circuit"), "B high", REPLACE),
    Situation("water in an HV plug's seal: seal replaced, isolation and circuit met", f("hv_connector_seal", "ingress", "battery_front"), (*REPLACED, *met("isolation_resistance", "hv_circuit")), "F eliminated", LEAVE),
    Situation("bonding strap torn: replaced, bonding met", f("bonding_strap", "severed", "front_centre"), (*REPLACED, *met("bonding_resistance")), "F eliminated", LEAVE),
    Situation("bonding strap torn: resistance met through another path", f("bonding_strap", "severed", "front_centre"), met("bonding_resistance"), "C serious", REPLACE),
    # ------------------------------------------------ battery
    Situation("battery floor dented 4 mm: cell data met alone", DENTED, met("cell_data"), "B high", TEST, "battery_cooling_hold enclosure_inside enclosure_seal isolation_resistance maker_criterion"),
    Situation("battery floor dented 4 mm: all met but the look inside", DENTED, met(*(t for t in PACK if t != "enclosure_inside")), "B high", TEST, "enclosure_inside"),
    Situation("battery floor dented 4 mm: all met, seen from inside too", DENTED, met(*PACK), "D serious", CLEAN),
    Situation("battery floor dented 4 mm: leak test not met", DENTED, (*met(*(t for t in PACK if t != "enclosure_seal")), *not_met("enclosure_seal")), "A high", REPLACE, "enclosure_seal"),
    Situation("battery floor dented 4 mm: cell data unclear", DENTED, (*met(*(t for t in PACK if t != "cell_data")), *result(UNCLEAR, "cell_data")), "B high", TEST, "cell_data"),
    Situation("battery floor holed: every test met, nothing replaced", f("battery_enclosure", "puncture", "battery_mid"), met(*PACK), "A high", REPLACE),
    Situation("battery bulges: cell data met", f("battery_enclosure", "swelling", "battery_mid"), met(*PACK), "A high", REPLACE),
    Situation("cooling plate holed: coolant circuit held, the plate's own test open", PLATE, met("coolant_hold", "isolation_resistance"), "A high", REPLACE, "battery_cooling_hold cell_data enclosure_inside enclosure_seal maker_criterion"),
    Situation("cooling plate holed and replaced: its own hold test open", PLATE, (*REPLACED, *met("isolation_resistance", "cell_data", "enclosure_seal")), "A high", REPLACE, "battery_cooling_hold enclosure_inside maker_criterion"),
    Situation("cooling plate holed and replaced: four tests met, nobody looked at the cells", PLATE, (*REPLACED, *met("isolation_resistance", "cell_data", "enclosure_seal", "battery_cooling_hold")), "A high", REPLACE, "enclosure_inside maker_criterion"),
    Situation("battery mount cracked: torque and seat met", f("battery_mount", "crack", "sill_left", length_mm=12.0), met("battery_fixing", "body_geometry"), "B high", REPLACE),
    Situation("battery mount cracked: replaced, fixing and body met", f("battery_mount", "crack", "sill_left", length_mm=12.0), (*REPLACED, *met("battery_fixing", "body_geometry")), "F eliminated", LEAVE),
    # ------------------------------------------------ guards and fluids
    Situation("skid plate holed: replaced, nobody looked behind it", SHIELD, REPLACED, "C serious", REPLACE, "behind_shield measure_distance"),
    Situation("skid plate holed: replaced, and what runs behind seen whole", SHIELD, (*REPLACED, *met("behind_shield")), "F eliminated", LEAVE),
    Situation("48 V battery bulges: circuit and criterion met", f("unit_48v", "swelling", "rear_end"), met("lv_circuit", "maker_criterion"), "B high", REPLACE),
    Situation("brake pipe rusted: holds its pressure", f("brake_line", "corrosion", "rear_centre"), met("brake_hold"), "D medium", CLEAN, "measure_distance"),
    Situation("brake pipe leaks: replaced, holds its pressure", f("brake_line", "leak", "rear_left", at=2000.0), (*REPLACED, *met("brake_hold")), "A high", REPLACE, "isolation_resistance"),
    Situation("tyre cut: wheel alignment met", f("tyre", "puncture", "front_left", at=2000.0), met("wheel_alignment", "tyre_inside"), "B high", REPLACE),
    Situation("lifting point crushed: measures true, the maker's criterion not typed in", f("lifting_point", "deformation", "sill_left"), (*met("body_geometry"), *no_criterion("maker_criterion")), "C high", TEST, "battery_fixing maker_criterion measure_distance measure_extent"),
]
# fmt: on


@pytest.mark.parametrize("situation", SITUATIONS, ids=lambda situation: situation.name)
def test_a_careful_technician_would_agree_with_what_remains(situation: Situation) -> None:
    facts = CaseFacts(vehicle=a_car(), findings=(situation.found,), evidence=situation.on_record)
    found = assess(facts, the_book()).findings[0]
    residual = found.residual
    assert residual is not None
    assert (
        f"{residual.likelihood.name} {residual.risk.name.lower()}",
        residual.disposition,
        " ".join(sorted(test.id for test in residual.open_tests)),
    ) == (situation.left, situation.repair, situation.open_tests)


@pytest.mark.parametrize("situation", SITUATIONS, ids=lambda situation: situation.name)
def test_no_record_changes_flag_or_first_risk(situation: Situation) -> None:
    first, second = (
        assess(
            CaseFacts(vehicle=a_car(), findings=(situation.found,), evidence=on_record), the_book()
        ).findings[0]
        for on_record in ((), situation.on_record)
    )
    assert (first.hv_flag, first.risk, first.disposition) == (
        second.hv_flag, second.risk, second.disposition,
    )  # fmt: skip


def test_there_are_at_least_twenty_five_situations_and_none_twice() -> None:
    assert len({situation.name for situation in SITUATIONS}) == len(SITUATIONS) >= 25
