"""Situations that a careful technician would agree with, one row each, readable in the output.

Each row was written down before the book was asked. Columns: what is found, and then risk, HV
flag, repair needed and signal word.
"""

from typing import NamedTuple

import pytest

from rules import Assessment, Disposition, Facts, HvFlag, Risk, Side, SignalWord
from tests.unit.rules.book import a_finding, judge_case

HIGH, SERIOUS, MEDIUM, LOW = Risk.HIGH, Risk.SERIOUS, Risk.MEDIUM, Risk.LOW
AT, REACH, NONE = HvFlag.AT_HV, HvFlag.WITHIN_REACH, HvFlag.NONE
LEAVE, CLEAN, REPAIR, TEST, REPLACE = Disposition
NOTICE, CAUTION, WARNING, DANGER = SignalWord


class Situation(NamedTuple):
    name: str
    found: Facts
    risk: Risk
    flag: HvFlag
    repair: Disposition
    word: SignalWord
    beside: tuple[Facts, ...] = ()
    volts: float | None = 400.0


def beside(component: str, damage: str, **facts: object) -> tuple[Facts, ...]:
    return (a_finding(component, damage, finding_id="2", **facts),)


SITUATIONS = [
    # ------------------------------------------------ high-voltage cables and plugs
    Situation(
        "HV cable cut through, battery end",
        a_finding("hv_cable", "severed", zone="battery_front", hangs_free=False),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "HV cable rubbed on a bracket",
        a_finding("hv_cable", "chafed", zone="front_centre"),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "HV cable squeezed under a bent plate",
        a_finding("hv_cable", "pinched", zone="front_centre"),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "HV cable with a scrape nobody measured",
        a_finding("hv_cable", "scrape", zone="front_centre"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "HV cable with a mark 0.1 mm deep",
        a_finding("hv_cable", "scrape", zone="front_centre", depth_mm=0.1),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "HV cable muddy, nothing else",
        a_finding("hv_cable", "contamination", zone="front_centre"),
        MEDIUM, AT, TEST, WARNING,
    ),
    Situation(
        "HV plug cracked",
        a_finding("hv_connector", "crack", zone="front_centre", length_mm=4.0),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "HV plug lock loose",
        a_finding("hv_connector", "loose", zone="rear_centre"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "water in an HV plug",
        a_finding("hv_connector", "ingress", zone="battery_front"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "arc beads on an HV plug",
        a_finding("hv_connector", "burn_or_arc_mark", zone="battery_front"),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "junction box holed by a stone",
        a_finding("hv_junction_box", "puncture", zone="front_centre"),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "cable clip gone, cable looked at and covered",
        a_finding("hv_cable_clip", "missing", zone="front_centre", hv_conductor_visible=False),
        SERIOUS, AT, REPLACE, WARNING,
    ),
    Situation(
        "bonding strap torn off",
        a_finding("bonding_strap", "severed", zone="front_centre"),
        SERIOUS, AT, REPLACE, WARNING,
    ),
    # ------------------------------------------------ battery
    Situation(
        "battery floor: cosmetic scrape, 0.2 mm",
        a_finding("battery_enclosure", "scrape", zone="battery_mid", depth_mm=0.2, length_mm=310.0),
        MEDIUM, AT, LEAVE, WARNING,
    ),
    Situation(
        "battery floor: scrape nobody measured",
        a_finding("battery_enclosure", "scrape", zone="battery_mid"),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "battery floor: furrow 2 mm deep",
        a_finding("battery_enclosure", "gouge", zone="battery_mid", depth_mm=2.0),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "battery floor: dent 1 mm, no maker's limit",
        a_finding("battery_enclosure", "dent", zone="battery_mid", depth_mm=1.0),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "battery enclosure holed",
        a_finding("battery_enclosure", "puncture", zone="battery_front"),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "arc mark on the enclosure's front edge",
        a_finding("battery_enclosure", "burn_or_arc_mark", zone="battery_front"),
        HIGH, AT, TEST, DANGER,
    ),
    Situation(
        "battery floor bulges",
        a_finding("battery_enclosure", "swelling", zone="battery_mid"),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "cover seam weeps",
        a_finding("battery_cover_seam", "leak", zone="battery_rear"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "battery coolant port cracked",
        a_finding("battery_coolant_port", "crack", zone="battery_front"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "battery mount bent",
        a_finding("battery_mount", "deformation", zone="battery_front"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "battery bolt rusty",
        a_finding("battery_mount", "corrosion", zone="sill_left"),
        MEDIUM, AT, TEST, WARNING,
    ),
    Situation(
        "enclosure scraped and the body beside it bent",
        a_finding("battery_enclosure", "scrape", zone="battery_front", depth_mm=0.2),
        SERIOUS, AT, TEST, WARNING,
        beside("front_cross_member", "deformation", zone="front_centre"),
    ),
    # ------------------------------------------------ drive units and other HV units
    Situation(
        "drive unit housing scratched",
        a_finding("front_drive_unit", "scrape", zone="front_centre"),
        MEDIUM, AT, LEAVE, WARNING,
    ),
    Situation(
        "drive unit housing cracked, oil out",
        a_finding("rear_drive_unit", "crack", zone="rear_centre"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "drive unit housing dented",
        a_finding("front_drive_unit", "dent", zone="front_centre", depth_mm=4.0),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "compressor housing broken open",
        a_finding("ac_compressor", "fracture", zone="front_centre"),
        HIGH, AT, REPLACE, DANGER,
    ),
    # ------------------------------------------------ guards before HV
    Situation(
        "skid plate torn, orange cable in the tear",
        a_finding("skid_plate", "tear", zone="front_centre", hv_conductor_visible=True),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "skid plate torn, nobody looked for a cable",
        a_finding("skid_plate", "tear", zone="front_centre"),
        HIGH, AT, REPLACE, DANGER,
    ),
    Situation(
        "skid plate torn, looked: no cable in sight",
        a_finding("skid_plate", "tear", zone="front_centre", hv_conductor_visible=False),
        SERIOUS, AT, REPLACE, WARNING,
    ),
    Situation(
        "skid plate dented 15 mm",
        a_finding("skid_plate", "dent", zone="front_centre", depth_mm=15.0),
        SERIOUS, AT, REPAIR, WARNING,
    ),
    Situation(
        "skid plate scratched",
        a_finding("skid_plate", "scrape", zone="front_centre", at=2000.0),
        MEDIUM, AT, LEAVE, WARNING,
    ),
    Situation(
        "skid plate scratched on a 48 V car",
        a_finding("skid_plate", "scrape", zone="front_centre"),
        MEDIUM, NONE, LEAVE, CAUTION, (), 48.0,
    ),
    # ------------------------------------------------ shields with nothing live behind
    Situation(
        "front shield: corner gone, HV 870 mm away",
        a_finding("under_shield_front", "missing", zone="front_end", at=870.0),
        MEDIUM, REACH, REPLACE, WARNING,
    ),
    Situation(
        "front shield: corner gone, HV 2 m away",
        a_finding("under_shield_front", "missing", zone="front_end", at=2000.0),
        MEDIUM, NONE, REPLACE, CAUTION,
    ),
    Situation(
        "front shield torn under the drive unit, distance not measured",
        a_finding("under_shield_front", "tear", zone="front_centre"),
        SERIOUS, AT, REPLACE, WARNING,
    ),
    Situation(
        "wheel-arch liner scuffed, HV 1.5 m away",
        a_finding("wheel_arch_liner", "scrape", zone="rear_left", at=1500.0),
        LOW, NONE, LEAVE, NOTICE,
    ),
    # ------------------------------------------------ fluids
    Situation(
        "radiator drips, HV 680 mm away",
        a_finding("radiator", "leak", zone="front_end", at=680.0),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "coolant hose leaks beside the drive unit",
        a_finding("coolant_hose", "leak", zone="front_centre", at=2000.0),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "radiator drips beside a damaged HV plug",
        a_finding("radiator", "leak", zone="front_end", at=680.0),
        HIGH, AT, TEST, WARNING,
        beside("hv_connector", "crack", zone="front_centre"),
    ),
    Situation(
        "radiator fin scuffed, HV 680 mm away",
        a_finding("radiator", "scrape", zone="front_end", at=680.0),
        LOW, REACH, LEAVE, WARNING,
    ),
    Situation(
        "refrigerant line kinked, HV 1.5 m away",
        a_finding("refrigerant_line", "deformation", zone="front_end", at=1500.0, depth_mm=5.0),
        SERIOUS, NONE, REPAIR, WARNING,
    ),
    Situation(
        "brake hose cut",
        a_finding("brake_line", "severed", zone="front_left", at=1500.0),
        HIGH, NONE, REPLACE, WARNING,
    ),
    Situation(
        "brake line rusty",
        a_finding("brake_line", "corrosion", zone="rear_left", at=1500.0),
        SERIOUS, NONE, TEST, WARNING,
    ),
    Situation(
        "hybrid's fuel line leaks",
        a_finding("fuel_line", "leak", zone="battery_rear"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "damper oily, HV 2 m away",
        a_finding("damper", "leak", zone="rear_left", at=2000.0),
        MEDIUM, REACH, TEST, WARNING,
    ),
    # ------------------------------------------------ structure
    Situation(
        "cross-member bent 12 mm, HV 367 mm away",
        a_finding(
            "front_cross_member", "deformation", zone="front_centre", at=367.0, depth_mm=12.0
        ),
        SERIOUS, REACH, TEST, WARNING,
    ),
    Situation(
        "cross-member bent, distance not measured",
        a_finding("front_cross_member", "deformation", zone="front_centre"),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "cross-member dented 1 mm, HV 367 mm away",
        a_finding("front_cross_member", "dent", zone="front_centre", at=367.0, depth_mm=1.0),
        MEDIUM, REACH, TEST, WARNING,
    ),
    Situation(
        "drive-unit bracket cracked, HV 388 mm away",
        a_finding("drive_unit_mount_bracket", "crack", zone="front_centre", at=388.0),
        SERIOUS, REACH, REPLACE, WARNING,
    ),
    Situation(
        "drive-unit bracket broken through",
        a_finding("drive_unit_mount_bracket", "fracture", zone="front_centre", at=388.0),
        HIGH, REACH, REPLACE, WARNING,
    ),
    Situation(
        "cross-member bolts rusty, HV 600 mm away, covers off",
        a_finding("fasteners", "corrosion", zone="front_centre", at=600.0),
        MEDIUM, REACH, REPLACE, WARNING,
    ),
    Situation(
        "cross-member bolts rusty, HV 600 mm away but covers on",
        a_finding(
            "fasteners", "corrosion", zone="front_centre",
            distance_to_hv_mm=600.0, distance_uncertainty_mm=10.0, covers_off=False,
        ),
        MEDIUM, AT, REPLACE, WARNING,
    ),
    Situation(
        "bumper-beam bolt loose, HV 1.5 m away",
        a_finding("fasteners", "loose", zone="front_end", at=1500.0),
        SERIOUS, NONE, REPLACE, WARNING,
    ),
    Situation(
        "lifting point crushed",
        a_finding("lifting_point", "deformation", zone="sill_left"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "spare-wheel well dented, HV 1.5 m away",
        a_finding("body_floor", "dent", zone="rear_end", at=1500.0, depth_mm=8.0),
        SERIOUS, NONE, TEST, WARNING,
    ),
    Situation(
        "subframe rusty, HV 500 mm away",
        a_finding("front_subframe", "corrosion", zone="front_centre", at=500.0),
        MEDIUM, REACH, CLEAN, WARNING,
    ),
    Situation(
        "subframe bent beside a loose battery mount",
        a_finding("front_subframe", "deformation", zone="front_centre", at=500.0),
        SERIOUS, AT, TEST, WARNING,
        beside("battery_mount", "loose", zone="battery_front"),
    ),
    # ------------------------------------------------ running gear
    Situation(
        "suspension arm bent, HV 1.5 m away",
        a_finding("suspension_arm", "deformation", zone="rear_left", at=1500.0),
        SERIOUS, NONE, REPLACE, WARNING,
    ),
    Situation(
        "tie rod broken",
        a_finding("tie_rod", "fracture", zone="front_left", at=1500.0),
        HIGH, NONE, REPLACE, WARNING,
    ),
    Situation(
        "wheel kerb-rashed, HV 1.5 m away",
        a_finding("wheel", "scrape", zone="rear_left", at=1500.0),
        LOW, NONE, LEAVE, NOTICE,
    ),
    Situation(
        "wheel kerb-rashed, distance not measured",
        a_finding("wheel", "scrape", zone="rear_left"),
        LOW, REACH, LEAVE, WARNING,
    ),
    Situation(
        "tyre bulges",
        a_finding("tyre", "swelling", zone="front_right", at=1500.0),
        HIGH, NONE, REPLACE, WARNING,
    ),
    Situation(
        "CV boot torn",
        a_finding("drive_shaft", "tear", zone="front_left", at=1500.0),
        HIGH, NONE, REPLACE, WARNING,
    ),
    # ------------------------------------------------ wiring and trim
    Situation(
        "12 V loom cut, HV 1.5 m away",
        a_finding("lv_harness", "severed", zone="front_end", at=1500.0),
        MEDIUM, NONE, REPAIR, CAUTION,
    ),
    Situation(
        "12 V loom burned",
        a_finding("lv_harness", "burn_or_arc_mark", zone="front_end", at=1500.0),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "48 V cable cut on a mild hybrid",
        a_finding("cable_48v", "severed", zone="front_centre"),
        HIGH, NONE, REPLACE, WARNING, (), 48.0,
    ),
    Situation(
        "orange cable seen on a car recorded as 48 V",
        a_finding("hv_cable", "contamination", zone="front_centre"),
        MEDIUM, AT, TEST, WARNING, (), 48.0,
    ),
    Situation(
        "fan shroud cracked, HV 617 mm away",
        a_finding("fan_shroud", "crack", zone="front_end", at=617.0),
        LOW, REACH, REPLACE, WARNING,
    ),
    Situation(
        "fan shroud cracked, HV 1.5 m away",
        a_finding("fan_shroud", "crack", zone="front_end", at=1500.0),
        LOW, NONE, REPLACE, NOTICE,
    ),
    Situation(
        "fan blade broken",
        a_finding("fan", "fracture", zone="front_end", at=1500.0),
        MEDIUM, NONE, REPLACE, CAUTION,
    ),
    Situation(
        "exhaust knocked loose on a hybrid, HV 500 mm away",
        a_finding("exhaust", "loose", zone="rear_end", at=500.0),
        MEDIUM, REACH, REPAIR, WARNING,
    ),
    # ------------------------------------------------ across the car
    Situation(
        "fan shroud cracked 2 m off, but an HV cable hangs cut",
        a_finding("fan_shroud", "crack", zone="front_end", at=2000.0),
        LOW, REACH, REPLACE, WARNING,
        beside("hv_cable", "severed", zone="rear_centre", hangs_free=True),
    ),
    Situation(
        "fan shroud cracked 2 m off, cut HV cable held fast",
        a_finding("fan_shroud", "crack", zone="front_end", at=2000.0),
        LOW, NONE, REPLACE, NOTICE,
        beside("hv_cable", "severed", zone="rear_centre", hangs_free=False),
    ),
    Situation(
        "rusty bolt in the same area as an arc mark",
        a_finding("fasteners", "corrosion", zone="front_centre", at=600.0),
        MEDIUM, AT, REPLACE, WARNING,
        beside("skid_plate", "burn_or_arc_mark", zone="front_centre"),
    ),
    Situation(
        "shield under a dripping radiator",
        a_finding("under_shield_front", "crack", zone="front_end", at=870.0),
        MEDIUM, AT, REPLACE, WARNING,
        beside("radiator", "leak", zone="front_end"),
    ),
    Situation(
        "drive unit scratched between a torn shield and a dented battery: one line",
        a_finding("front_drive_unit", "scrape", zone="front_centre"),
        MEDIUM, AT, TEST, WARNING,
        (
            *beside("under_shield_front", "tear", zone="front_end"),
            a_finding("battery_guard_plate", "dent", finding_id="3", zone="battery_front"),
        ),
    ),
    Situation(
        "drive unit scratched on the left, blows only on the right",
        a_finding("front_drive_unit", "scrape", zone="front_centre", side=Side.LEFT),
        MEDIUM, AT, LEAVE, WARNING,
        (
            *beside("under_shield_front", "tear", zone="front_end", side=Side.RIGHT),
            a_finding(
                "battery_guard_plate", "dent", finding_id="3", zone="battery_front",
                side=Side.RIGHT,
            ),
        ),
    ),
    Situation(
        "HV plug dusty on the drawn line of impact",
        a_finding("hv_connector", "contamination", zone="front_centre", on_impact_line=True),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "shield soaked with fuel",
        a_finding("under_shield_rear", "scrape", zone="rear_end", at=2000.0),
        HIGH, AT, LEAVE, WARNING,
        beside("fuel_tank", "leak", zone="rear_centre"),
    ),
    Situation(
        "fuel line dented beside an exhaust that hangs",
        a_finding("fuel_line", "dent", zone="rear_centre", depth_mm=1.0, at=2000.0),
        HIGH, NONE, TEST, WARNING,
        beside("exhaust", "displaced", zone="rear_end"),
    ),
    Situation(
        "HV grommet scuffed where the exhaust broke",
        a_finding("hv_grommet", "scrape", zone="battery_rear"),
        MEDIUM, AT, TEST, WARNING,
        beside("exhaust", "fracture", zone="battery_rear"),
    ),
    Situation(
        "sill scratched while the battery leaks coolant beside it",
        a_finding("side_sill", "scrape", zone="sill_left", at=1500.0),
        MEDIUM, NONE, LEAVE, CAUTION,
        beside("battery_coolant_port", "leak", zone="battery_front"),
    ),
    # ------------------------------------------------ locks, seals, plugs and covers
    Situation(
        "HV plug lock broken off",
        a_finding("hv_connector_lock", "fracture", zone="front_centre"),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "HV plug seal dirty",
        a_finding("hv_connector_seal", "contamination", zone="battery_front"),
        MEDIUM, AT, CLEAN, WARNING,
    ),
    Situation(
        "battery drain plug gone",
        a_finding("battery_drain_plug", "missing", zone="battery_mid"),
        HIGH, AT, REPLACE, WARNING,
    ),
    Situation(
        "guard plate under the battery dented 20 mm",
        a_finding("battery_guard_plate", "dent", zone="battery_mid", depth_mm=20.0),
        SERIOUS, AT, REPAIR, WARNING,
    ),
    Situation(
        "drive-unit shield torn, looked: no cable in sight",
        a_finding("drive_unit_shield", "tear", zone="rear_centre", hv_conductor_visible=False),
        SERIOUS, AT, REPLACE, WARNING,
    ),
    Situation(
        "ground point rusty",
        a_finding("ground_point", "corrosion", zone="battery_front"),
        MEDIUM, AT, TEST, WARNING,
    ),
    Situation(
        "jacking pad torn out of its seat",
        a_finding("jacking_pad", "displaced", zone="sill_right"),
        HIGH, AT, TEST, WARNING,
    ),
    Situation(
        "interlock wire cut, HV 1.5 m away by measure",
        a_finding("interlock_wire", "severed", zone="front_end", at=1500.0),
        MEDIUM, AT, REPAIR, WARNING,
    ),
    # ------------------------------------------------ hybrids
    Situation(
        "hybrid's oil pan cracked, oil still in",
        a_finding("engine_sump", "crack", zone="front_centre", at=1500.0, length_mm=30.0),
        MEDIUM, NONE, REPAIR, CAUTION,
    ),
    Situation(
        "hybrid's oil pan drips",
        a_finding("engine_sump", "leak", zone="front_centre", at=1500.0),
        SERIOUS, AT, TEST, WARNING,
    ),
    Situation(
        "hybrid's catalytic converter hangs, HV 1.5 m away",
        a_finding("catalytic_converter", "displaced", zone="battery_front", at=1500.0),
        SERIOUS, NONE, REPAIR, WARNING,
    ),
    Situation(
        "hybrid's propeller shaft bent",
        a_finding("propeller_shaft", "deformation", zone="battery_mid", at=1500.0),
        SERIOUS, NONE, REPLACE, WARNING,
    ),
    Situation(
        "48 V plug scuffed on a mild hybrid",
        a_finding("connector_48v", "scrape", zone="front_centre"),
        MEDIUM, NONE, LEAVE, CAUTION, (), 48.0,
    ),
    # ------------------------------------------------ nobody knows
    Situation(
        "nothing said at all", a_finding(), HIGH, AT, TEST, DANGER
    ),
    Situation(
        "unknown part with a crack", a_finding(None, "crack", at=2000.0, zone="rear_end"),
        HIGH, AT, TEST, DANGER,
    ),
    Situation(
        "tyre with damage nobody named", a_finding("tyre", None, at=2000.0, zone="rear_left"),
        HIGH, AT, TEST, DANGER,
    ),
    Situation(
        "part that the book does not have", a_finding("part_of_a_later_book", "dent"),
        HIGH, AT, TEST, DANGER,
    ),
    Situation(
        "rusty bolt, zone not said", a_finding("fasteners", "corrosion"),
        MEDIUM, AT, REPLACE, WARNING,
    ),
    Situation(
        "rusty bolt, HV 600 mm away, uncertainty not said",
        a_finding(
            "fasteners", "corrosion", zone="front_centre", distance_to_hv_mm=600.0, covers_off=True
        ),
        MEDIUM, AT, REPLACE, WARNING,
    ),
    Situation(
        "rusty bolt 2 m off on a car whose voltage nobody knows",
        a_finding("fasteners", "corrosion", zone="rear_end"),
        MEDIUM, REACH, REPLACE, WARNING, (), None,
    ),
    Situation(
        "scuffed liner in a photo area that looks like orange cable",
        a_finding("wheel_arch_liner", "scrape", zone="rear_left", at=1500.0, near_orange_area=True),
        LOW, AT, LEAVE, WARNING,
    ),
]  # fmt: skip


@pytest.mark.parametrize("situation", SITUATIONS, ids=lambda one: one.name)
def test_a_careful_technician_would_agree(situation: Situation) -> None:
    found = judge_case(situation.found, *situation.beside, volts=situation.volts).findings[0]
    assert _outcome(found) == (
        situation.risk.name,
        situation.flag.name,
        situation.repair.name,
        situation.word.name,
    )


def test_there_are_at_least_a_hundred_situations_and_none_twice() -> None:
    assert len({situation.name for situation in SITUATIONS}) == len(SITUATIONS) >= 100


def _outcome(found: Assessment) -> tuple[str, str, str, str]:
    return found.risk.name, found.hv_flag.name, found.disposition.name, found.signal_word.name
