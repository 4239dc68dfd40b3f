"""The why of each answer: who decided it, and who only fired."""

from rules import (
    CaseFacts,
    ComponentId,
    Consequence,
    DamageId,
    Facts,
    HvFlag,
    VehicleFacts,
    ZoneId,
    assess,
    load_rulebook,
)
from rules.deciding import deciding

BOOK = load_rulebook()
CAR = VehicleFacts(system_voltage_v=400, signs={})


def test_the_deciders_are_those_that_asked_for_the_answer_given() -> None:
    facts = Facts(
        finding_id="F1",
        component=ComponentId("skid_plate"),
        damage=DamageId("tear"),
        zone=ZoneId("battery_mid"),
    )
    [answer] = assess(CaseFacts(vehicle=CAR, findings=(facts,)), BOOK).findings
    decided = deciding(answer, BOOK)
    for reason in decided.consequence:
        assert BOOK.rules[reason.rule_id].then.consequence is answer.consequence
    for reason in decided.likelihood:
        assert BOOK.rules[reason.rule_id].then.likelihood is answer.likelihood
    for reason in decided.repair:
        assert BOOK.rules[reason.rule_id].then.disposition is answer.disposition
    assert decided.hv_flag == answer.hv_reasons
    told = {*decided.consequence, *decided.likelihood, *decided.repair, *decided.hv_flag}
    assert set(decided.others) == set(answer.reasons) - told
    assert decided.others, "milder rules fired here too"


def test_an_answer_that_no_rule_asked_for_has_no_decider() -> None:
    # A loose fan: nothing flags it far from HV with covers off.
    facts = Facts(
        finding_id="F1",
        component=ComponentId("fan_shroud"),
        damage=DamageId("scrape"),
        zone=ZoneId("front_end"),
        distance_to_hv_mm=5000,
        distance_uncertainty_mm=10,
        covers_off=True,
        hv_conductor_visible=False,
        hangs_free=False,
    )
    [answer] = assess(CaseFacts(vehicle=CAR, findings=(facts,)), BOOK).findings
    assert answer.hv_flag is HvFlag.NONE
    assert deciding(answer, BOOK).hv_flag == ()
    assert answer.consequence is not Consequence.CATASTROPHIC
