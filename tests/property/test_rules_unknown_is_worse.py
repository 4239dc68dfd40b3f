"""Laws of the book: what is near high voltage is flagged, and not knowing never helps."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from rules import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Assessment,
    CaseFacts,
    Facts,
    HvFlag,
    Powertrain,
    Risk,
    VehicleFacts,
    ZoneId,
    assess,
)
from tests.property.rule_facts import (
    BOOK,
    COMPONENTS,
    DAMAGES,
    SIGNS,
    ZONES,
    cases,
    findings,
    vehicles,
)

HV_PARTS = tuple(one for one in COMPONENTS if BOOK.components[one].is_hv)
HEAT = tuple(one for one in DAMAGES if BOOK.damage_types[one].family == "heat")
FLUID = tuple(one for one in DAMAGES if BOOK.damage_types[one].family == "fluid")
HV_ZONES = tuple(one for one in ZONES if BOOK.zones[one].hv_runs_here)
HIGH_VOLTS = st.sampled_from([None, 60.1, 400.0])


def judge(vehicle: VehicleFacts, finding: Facts) -> Assessment:
    return assess(CaseFacts(vehicle=vehicle, findings=(finding,)), BOOK).findings[0]


def at(volts: float | None, drive: Powertrain = Powertrain.MILD_HYBRID_48V) -> VehicleFacts:
    return VehicleFacts(system_voltage_v=volts, powertrain=drive, signs={})


def hazard_covers(worse: Assessment, milder: Assessment) -> bool:
    return (
        worse.consequence <= milder.consequence
        and worse.likelihood <= milder.likelihood
        and worse.risk >= milder.risk
        and worse.hv_flag >= milder.hv_flag
        and worse.signal_word >= milder.signal_word
    )


@given(vehicles(), findings(components=HV_PARTS))
def test_an_hv_part_is_always_at_hv(vehicle: VehicleFacts, finding: Facts) -> None:
    assert judge(vehicle, finding).hv_flag is HvFlag.AT_HV


@given(vehicles(), findings(damages=HEAT))
def test_an_arc_or_burn_is_always_at_hv(vehicle: VehicleFacts, finding: Facts) -> None:
    assert judge(vehicle, finding).hv_flag is HvFlag.AT_HV


@given(vehicles(), findings())
def test_a_visible_conductor_is_always_at_hv_and_high(
    vehicle: VehicleFacts, finding: Facts
) -> None:
    found = judge(vehicle, replace(finding, hv_conductor_visible=True))
    assert (found.hv_flag, found.risk) == (HvFlag.AT_HV, Risk.HIGH)


@given(vehicles(), findings())
def test_a_mark_near_an_orange_area_is_always_at_hv(vehicle: VehicleFacts, finding: Facts) -> None:
    assert judge(vehicle, replace(finding, near_orange_area=True)).hv_flag is HvFlag.AT_HV


@given(HIGH_VOLTS, findings(damages=FLUID), st.sampled_from([None, *HV_ZONES]))
def test_fluid_where_hv_runs_is_at_hv_whatever_the_distance(
    volts: float | None, finding: Facts, zone: ZoneId | None
) -> None:
    found = judge(at(volts), replace(finding, zone=zone))
    assert found.hv_flag is HvFlag.AT_HV


@given(HIGH_VOLTS, findings())
def test_only_a_distance_with_uncertainty_and_covers_off_ever_clears(
    volts: float | None, finding: Facts
) -> None:
    if judge(at(volts), finding).hv_flag is HvFlag.NONE:
        distance, uncertainty = finding.distance_to_hv_mm, finding.distance_uncertainty_mm
        assert finding.covers_off is True
        assert distance is not None
        assert uncertainty is not None
        assert distance - uncertainty > 1000


@given(vehicles(), findings())
def test_an_unidentified_part_is_at_least_as_bad_as_any(
    vehicle: VehicleFacts, finding: Facts
) -> None:
    unknown = judge(vehicle, replace(finding, component=UNIDENTIFIED_COMPONENT))
    assert hazard_covers(unknown, judge(vehicle, finding))
    assert (unknown.risk, unknown.hv_flag) == (Risk.HIGH, HvFlag.AT_HV)


@given(vehicles(), findings())
def test_unidentified_damage_is_at_least_as_bad_as_any(
    vehicle: VehicleFacts, finding: Facts
) -> None:
    unknown = judge(vehicle, replace(finding, damage=UNIDENTIFIED_DAMAGE))
    assert hazard_covers(unknown, judge(vehicle, finding))
    assert (unknown.risk, unknown.hv_flag) == (Risk.HIGH, HvFlag.AT_HV)


@given(
    vehicles(),
    findings(),
    st.sampled_from(["length_mm", "width_mm", "depth_mm", "covers_off", "zone", "hangs_free"]),
)
def test_not_knowing_a_fact_is_at_least_as_bad_as_knowing_it(
    vehicle: VehicleFacts, finding: Facts, name: str
) -> None:
    unknown = replace(finding, **{name: None})  # type: ignore[arg-type]  # by name
    assert hazard_covers(judge(vehicle, unknown), judge(vehicle, finding))


@given(HIGH_VOLTS, findings(), st.sampled_from([None, *HV_ZONES]))
def test_where_hv_runs_an_unmeasured_distance_is_at_least_as_bad_as_any(
    volts: float | None, finding: Facts, zone: ZoneId | None
) -> None:
    here = replace(finding, zone=zone)
    for name in ("distance_to_hv_mm", "distance_uncertainty_mm"):
        unknown = judge(at(volts), replace(here, **{name: None}))  # type: ignore[arg-type]  # by name
        assert hazard_covers(unknown, judge(at(volts), here))


@given(HIGH_VOLTS, findings())
def test_an_unmeasured_distance_is_never_less_than_within_reach(
    volts: float | None, finding: Facts
) -> None:
    unknown = judge(at(volts), replace(finding, distance_to_hv_mm=None))
    assert unknown.hv_flag >= HvFlag.WITHIN_REACH


@given(st.sampled_from([12.0, 48.0, 60.0, 60.1, 400.0]), findings())
def test_an_unknown_voltage_is_at_least_as_bad_as_any_up_to_1000_v(
    volts: float, finding: Facts
) -> None:
    assert hazard_covers(judge(at(None), finding), judge(at(volts), finding))


@given(
    st.sampled_from([12.0, 48.0, 60.0, 60.1, 400.0]), findings(), st.sampled_from(list(Powertrain))
)
def test_any_drive_is_at_least_as_bad_as_a_48_volt_mild_hybrid(
    volts: float, finding: Facts, drive: Powertrain
) -> None:
    assert hazard_covers(judge(at(volts, drive), finding), judge(at(volts), finding))


@given(vehicles(), findings(), st.floats(0, 9000))
def test_nearer_is_never_less(vehicle: VehicleFacts, finding: Facts, distance_mm: float) -> None:
    assume(finding.distance_to_hv_mm is not None and distance_mm <= finding.distance_to_hv_mm)
    nearer = replace(finding, distance_to_hv_mm=distance_mm)
    assert hazard_covers(judge(vehicle, nearer), judge(vehicle, finding))


@given(vehicles(), findings(), st.floats(0, 5000), st.sampled_from(["depth_mm", "length_mm"]))
def test_deeper_or_longer_is_never_less(
    vehicle: VehicleFacts, finding: Facts, size_mm: float, name: str
) -> None:
    known = getattr(finding, name)
    assume(known is not None and size_mm >= known)
    larger = replace(finding, **{name: size_mm})  # type: ignore[arg-type]  # by name
    assert hazard_covers(judge(vehicle, larger), judge(vehicle, finding))


@given(cases(min_size=1, max_size=4), st.integers(0, 3))
def test_identifying_a_finding_never_raises_what_the_others_are_told(
    case: CaseFacts, place: int
) -> None:
    assume(place < len(case.findings))
    known = case.findings[place]
    blank = replace(known, component=UNIDENTIFIED_COMPONENT, damage=UNIDENTIFIED_DAMAGE)
    unknown = tuple(blank if one is known else one for one in case.findings)
    after, before = assess(case, BOOK), assess(replace(case, findings=unknown), BOOK)
    for one in case.findings:
        if one is not known:
            assert before.of(one.finding_id).hv_flag >= after.of(one.finding_id).hv_flag
            assert before.of(one.finding_id).risk >= after.of(one.finding_id).risk


@given(st.dictionaries(st.sampled_from(SIGNS), st.sampled_from([True, False, None])))
def test_every_sign_but_a_clear_no_is_a_stop_condition(signs: dict[str, bool | None]) -> None:
    case = assess(CaseFacts(vehicle=VehicleFacts(signs=signs), findings=()), BOOK)
    asked = {BOOK.stop_rules[reason.rule_id].sign for reason in case.stop_conditions}
    assert asked == {sign for sign in SIGNS if signs.get(sign) is not False}
    unknown = {reason.unmeasured[0] for reason in case.stop_conditions if reason.unmeasured}
    assert unknown == {sign for sign in SIGNS if signs.get(sign) is None}
