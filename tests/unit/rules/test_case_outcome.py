"""The case has an outcome of its own: risk with the signs, quarantine, and transport class."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from rules import (
    CaseAssessment,
    CaseFacts,
    Facts,
    HvFlag,
    Quarantine,
    Risk,
    RuleId,
    SignalWord,
    TransportClass,
    VehicleFacts,
    assess,
)
from tests.unit.rules.book import NO_SIGNS, a_finding, the_book

FAR_SCRAPE = a_finding("wheel", "scrape", zone="rear_left", at=1500.0)
SIGNS = sorted(the_book().signs)


def judge_car(
    signs: Mapping[str, bool | None] | None = None,
    *findings: Facts,
    battery_seen_whole: bool | None = None,
) -> CaseAssessment:
    vehicle = VehicleFacts(
        system_voltage_v=400.0,
        signs={**NO_SIGNS, **(signs or {})},
        battery_seen_whole=battery_seen_whole,
    )
    return assess(CaseFacts(vehicle=vehicle, findings=findings), the_book())


def test_the_signs_are_those_of_the_design() -> None:
    assert set(SIGNS) == {
        "smoke",
        "fire",
        "hissing",
        "popping",
        "odour",
        "rising_temperature",
        "swelling",
        "water",
        "battery_leak",
        "broken_battery_mounts",
        "crushed_lifting_points",
    }


@pytest.mark.parametrize("sign", ["smoke", "fire", "hissing", "popping", "rising_temperature"])
def test_a_sign_of_a_burning_battery_stops_everything(sign: str) -> None:
    case = judge_car({sign: True})
    assert case.signal_word is SignalWord.DANGER
    assert case.hv_flag is HvFlag.AT_HV
    assert case.actions[0].id == "call_fire_service"
    assert [reason.unmeasured for reason in case.stop_conditions] == [()]
    assert (case.risk, case.findings_risk) == (Risk.HIGH, None)
    assert case.quarantine.level is Quarantine.EMERGENCY
    assert case.transport.transport_class is TransportClass.CRITICAL


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_outweighs_a_case_of_nothing_but_a_scrape(sign: str) -> None:
    case = judge_car({sign: True}, FAR_SCRAPE)
    assert (case.findings_risk, case.risk) == (Risk.LOW, Risk.HIGH)
    assert [the_book().stop_rules[one].sign for one in case.decided_by] == [sign]
    is_of_lifting = sign in ("broken_battery_mounts", "crushed_lifting_points")
    least = Quarantine.HOLD_OUTSIDE if is_of_lifting else Quarantine.KEEP_APART
    assert case.quarantine.level >= least


def test_where_a_finding_decides_no_sign_is_named_as_deciding() -> None:
    case = judge_car({"smoke": None}, a_finding("hv_cable", "severed", zone="front_centre"))
    assert (case.risk, case.decided_by) == (Risk.HIGH, ())


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("findings", [(), (FAR_SCRAPE,)], ids=["empty", "with a scrape"])
@pytest.mark.parametrize("seen", [True, None], ids=["battery seen", "battery not seen"])
def test_not_known_is_never_milder_than_no_nor_yes_than_not_known(
    sign: str, findings: tuple[Facts, ...], *, seen: bool | None
) -> None:
    no, unknown, yes = (
        _strictness(judge_car({sign: answer}, *findings, battery_seen_whole=seen))
        for answer in (False, None, True)
    )
    assert all(a <= b <= c for a, b, c in zip(no, unknown, yes, strict=True))
    assert no != unknown != yes


def _strictness(case: CaseAssessment) -> tuple[int, int, int, int, int]:
    return (
        -1 if case.risk is None else case.risk,
        case.hv_flag,
        case.signal_word,
        case.quarantine.level,
        case.transport.transport_class,
    )


def test_an_empty_case_of_which_nobody_said_anything_is_not_assessed_but_held_outside() -> None:
    case = assess(CaseFacts(vehicle=VehicleFacts(signs={}), findings=()), the_book())
    assert (case.findings_risk, case.risk) == (None, None)
    assert case.signal_word is SignalWord.WARNING
    assert case.quarantine.level is Quarantine.HOLD_OUTSIDE
    assert case.transport.transport_class is TransportClass.DAMAGED_OR_DEFECTIVE
    assert {reason.unmeasured for reason in case.stop_conditions} == {(sign,) for sign in SIGNS}
    assert {"ask_signs", "keep_outside"} <= {action.id for action in case.actions}
    assert "call_fire_service" not in {action.id for action in case.actions}


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_that_nobody_answered_makes_a_mere_scrape_serious(sign: str) -> None:
    case = judge_car({sign: None}, FAR_SCRAPE)
    assert (case.findings_risk, case.risk) == (Risk.LOW, Risk.SERIOUS)
    assert [the_book().stop_rules[one].sign for one in case.decided_by] == [sign]


def test_a_case_without_finding_and_without_sign_is_not_assessed_and_nothing_is_released() -> None:
    case = judge_car()
    assert (case.risk, case.stop_conditions) == (None, ())
    assert case.quarantine.level is Quarantine.NOT_ASKED
    assert "no release" in case.quarantine.text
    assert case.transport.transport_class is TransportClass.DAMAGED_OR_DEFECTIVE
    assert case.transport.decided_by == (RuleId("TRP-005"),)


def test_the_mildest_transport_class_needs_every_sign_answered_and_the_battery_seen() -> None:
    mildest = judge_car(None, FAR_SCRAPE, battery_seen_whole=True).transport
    assert mildest.transport_class is TransportClass.EXPERT_DECIDES
    assert "no release" in mildest.text
    # A crushed lifting point is nothing about the battery, and nothing about its carriage.
    for sign in set(SIGNS) - {"crushed_lifting_points"}:
        asked = judge_car({sign: None}, FAR_SCRAPE, battery_seen_whole=True).transport
        assert asked.transport_class is TransportClass.DAMAGED_OR_DEFECTIVE


@pytest.mark.parametrize(
    ("component", "damage", "quarantine", "transport"),
    [
        ("battery_enclosure", "puncture", Quarantine.KEEP_APART, TransportClass.CRITICAL),
        ("battery_enclosure", "dent", Quarantine.HOLD_OUTSIDE, TransportClass.DAMAGED_OR_DEFECTIVE),
        ("battery_enclosure", "scrape", Quarantine.NOT_ASKED, TransportClass.DAMAGED_OR_DEFECTIVE),
        ("battery_mount", "fracture", Quarantine.HOLD_OUTSIDE, TransportClass.DAMAGED_OR_DEFECTIVE),
        ("hv_cable", "severed", Quarantine.HOLD_OUTSIDE, TransportClass.EXPERT_DECIDES),
        ("lifting_point", "deformation", Quarantine.HOLD_OUTSIDE, TransportClass.EXPERT_DECIDES),
        ("wheel", "scrape", Quarantine.NOT_ASKED, TransportClass.EXPERT_DECIDES),
        (None, None, Quarantine.KEEP_APART, TransportClass.CRITICAL),
    ],
    ids=lambda one: getattr(one, "name", str(one)).lower(),
)
def test_a_finding_asks_for_quarantine_and_transport_class(
    component: str | None, damage: str | None, quarantine: Quarantine, transport: TransportClass
) -> None:
    case = judge_car(None, a_finding(component, damage), battery_seen_whole=True)
    assert case.quarantine.level is quarantine
    assert case.transport.transport_class is transport
    for advice in (case.quarantine, case.transport):
        deciding = [one for one in advice.reasons if one.rule_id in advice.decided_by]
        assert all(one.with_findings == ("1",) for one in deciding)


def test_the_advice_carries_its_sources_with_their_status_and_every_reason() -> None:
    case = judge_car({"smoke": True, "water": None}, a_finding("battery_enclosure", "leak"))
    assert {cited.source for cited in case.quarantine.citations} >= {"fire_service_pages"}
    assert [one.rule_id for one in case.quarantine.reasons] == [
        "QUA-001",
        "QUA-004",
        "QUA-010",
        "QUA-011",
    ]
    assert case.quarantine.decided_by == (RuleId("QUA-001"),)
    assert case.quarantine.reasons[1].unmeasured == ("water",)
    assert case.transport.packing == ("P911", "LP906")
    assert [one.number for one in case.transport.un_numbers][:2] == ["UN 3480", "UN 3481"]
    assert all(one.citations for one in case.transport.un_numbers)


def test_one_more_finding_never_lowers_the_outcome_of_the_car() -> None:
    two = (FAR_SCRAPE, replace(a_finding("battery_enclosure", "leak"), finding_id="2"))
    one, both = judge_car(None, two[0]), judge_car(None, *two)
    assert all(a <= b for a, b in zip(_strictness(one), _strictness(both), strict=True))


def test_every_text_of_the_case_says_what_is_not_released_and_none_says_safe() -> None:
    texts = [one.text for one in the_book().quarantine_levels.values()]
    texts += [one.text for one in the_book().transport_classes.values()]
    texts += [one.because for one in the_book().quarantine_rules.values()]
    texts += [one.because for one in the_book().transport_rules.values()]
    assert not [text for text in texts if " safe " in f" {text.lower()} "]
