"""Finding -> facts: what nobody said stays unknown."""

import pytest

from rules import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    HvFlag,
    Powertrain,
    assess,
    load_rulebook,
)
from tests.builders import a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.domain.case import Measures, Tags
from triage_app.domain.findings import NEAR_ORANGE_FRAC, case_facts, facts_from
from triage_app.domain.geometry import rectangle
from triage_app.domain.vehicle import Vehicle

BOX = rectangle(0.10, 0.10, 0.20, 0.20)


def test_what_nobody_said_is_unknown() -> None:
    finding = a_finding(tags=Tags())
    facts = facts_from(a_case(finding), finding)
    assert facts.component == UNIDENTIFIED_COMPONENT
    assert facts.damage == UNIDENTIFIED_DAMAGE
    assert facts.distance_to_hv_mm is None
    assert facts.covers_off is None
    assert facts.hangs_free is None


def test_measures_pass_unchanged() -> None:
    measures = Measures(
        depth_mm=3.5, distance_to_hv_mm=400, distance_uncertainty_mm=20, covers_off=True
    )
    finding = a_finding(tags=some_tags(measures=measures))
    facts = facts_from(a_case(finding), finding)
    assert (facts.depth_mm, facts.distance_to_hv_mm) == (3.5, 400)
    assert (facts.distance_uncertainty_mm, facts.covers_off) == (20, True)


@pytest.mark.parametrize(
    ("gap_frac", "near"),
    [
        pytest.param(0.0, True, id="touching"),
        pytest.param(NEAR_ORANGE_FRAC - 0.001, True, id="just within"),
        pytest.param(NEAR_ORANGE_FRAC + 0.001, False, id="just outside"),
    ],
)
def test_a_mark_near_an_orange_area_is_near_orange(gap_frac: float, *, near: bool) -> None:
    """The reach is a share of the longer side, here the width."""
    area = rectangle(0.20 + gap_frac, 0.10, 0.40 + gap_frac, 0.20)
    photo = a_photo(width_px=1000, height_px=500, orange_areas=(area,))
    finding = a_finding(marks=(a_mark(photo=photo, outline=BOX),))
    assert facts_from(a_case(finding, photos=(photo,)), finding).near_orange_area is near


def test_one_view_near_orange_is_enough() -> None:
    near = a_photo(1, orange_areas=(BOX,))
    far = a_photo(2)
    marks = (a_mark(1, photo=far, outline=BOX), a_mark(2, photo=near, outline=BOX))
    finding = a_finding(marks=marks)
    assert facts_from(a_case(finding, photos=(near, far)), finding).near_orange_area


def test_withdrawn_and_blank_findings_give_no_facts() -> None:
    blank = a_finding(2, tags=Tags(), marks=())
    assert [f.finding_id for f in case_facts(a_case(a_finding(1), blank)).findings] == ["F1"]


def test_the_rules_get_voltage_and_drive_as_they_were_typed_and_judge_them_themselves() -> None:
    vehicle = Vehicle(powertrain=Powertrain.HYBRID, system_voltage_v=40)
    facts = case_facts(a_case(vehicle=vehicle)).vehicle
    assert (facts.system_voltage_v, facts.powertrain) == (40, Powertrain.HYBRID)


def test_a_mistyped_voltage_takes_no_flag_off_a_punctured_skid_plate() -> None:
    tags = some_tags(component="skid_plate", damage="puncture", zone="battery_front")
    vehicle = Vehicle(powertrain=Powertrain.BATTERY_ELECTRIC, system_voltage_v=40)
    answer = assess(case_facts(a_case(a_finding(tags=tags), vehicle=vehicle)), load_rulebook())
    assert answer.hv_flag is HvFlag.AT_HV
