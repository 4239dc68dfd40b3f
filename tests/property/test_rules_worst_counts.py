"""Laws of the engine: the worst counts, order is nothing, and one more finding never lowers."""

from dataclasses import replace
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from rules import Assessment, CaseAssessment, CaseFacts, Facts, HvFlag, VehicleFacts, assess
from tests.property.rule_facts import BOOK, SIGNS, cases, findings, vehicles


def covers(worse: Assessment, milder: Assessment) -> bool:
    """Tell whether nothing of ``worse`` is less than in ``milder``, down to the reasons."""
    return (
        worse.consequence <= milder.consequence
        and worse.likelihood <= milder.likelihood
        and worse.risk >= milder.risk
        and worse.hv_flag >= milder.hv_flag
        and worse.signal_word >= milder.signal_word
        and worse.disposition >= milder.disposition
        and set(worse.actions) >= set(milder.actions)
        and set(worse.open_tests) >= set(milder.open_tests)
        and _rules(worse) >= _rules(milder)
    )


def _rules(found: Assessment) -> set[str]:
    return {reason.rule_id for reason in found.reasons}


@given(cases(min_size=1))
def test_each_outcome_is_the_worst_that_any_fired_rule_asks_for(case: CaseFacts) -> None:
    for found in assess(case, BOOK).findings:
        thens = [BOOK.rules[reason.rule_id].then for reason in found.reasons]
        assert found.consequence == min(one.consequence for one in thens if one.consequence)
        assert found.likelihood == min(one.likelihood for one in thens if one.likelihood)
        assert found.hv_flag == max(one.hv_flag or HvFlag.NONE for one in thens)
        assert found.disposition == max(
            one.disposition for one in thens if one.disposition is not None
        )
        assert found.risk is BOOK.risk_matrix[found.consequence, found.likelihood]
        for one in thens:
            assert one.actions <= {action.id for action in found.actions}
            assert one.tests <= {test.id for test in found.open_tests}


@given(cases(min_size=1), st.randoms(use_true_random=False))
def test_the_order_of_findings_does_not_matter(case: CaseFacts, chance: Random) -> None:
    shuffled = list(case.findings)
    chance.shuffle(shuffled)
    before = assess(case, BOOK)
    after = assess(replace(case, findings=tuple(shuffled)), BOOK)
    for finding in case.findings:
        assert after.of(finding.finding_id) == before.of(finding.finding_id)
    assert replace(after, findings=()) == replace(before, findings=())


@given(cases(), findings())
def test_one_more_finding_never_lowers_any_other_nor_the_case(case: CaseFacts, more: Facts) -> None:
    before = assess(case, BOOK)
    after = assess(replace(case, findings=(*case.findings, more)), BOOK)
    for finding in before.findings:
        assert covers(after.of(finding.finding_id), finding)
    assert _case_covers(after, before)


def _case_covers(worse: CaseAssessment, milder: CaseAssessment) -> bool:
    return (
        (milder.risk is None or (worse.risk is not None and worse.risk >= milder.risk))
        and worse.hv_flag >= milder.hv_flag
        and worse.signal_word >= milder.signal_word
        and set(worse.actions) >= set(milder.actions)
        and set(worse.open_tests) >= set(milder.open_tests)
        and worse.stop_conditions == milder.stop_conditions
        and worse.quarantine.level >= milder.quarantine.level
        and worse.transport.transport_class >= milder.transport.transport_class
    )


@given(cases(min_size=1))
def test_the_case_is_the_worst_of_its_findings(case: CaseFacts) -> None:
    found = assess(case, BOOK)
    assert found.findings_risk == max(one.risk for one in found.findings)
    assert found.risk is not None
    assert found.risk >= found.findings_risk
    assert found.hv_flag >= max(one.hv_flag for one in found.findings)
    assert found.signal_word >= max(one.signal_word for one in found.findings)


@given(vehicles())
def test_a_case_without_findings_is_assessed_by_a_sign_alone(vehicle: VehicleFacts) -> None:
    found = assess(CaseFacts(vehicle=vehicle, findings=()), BOOK)
    assert found.findings_risk is None
    assert (found.risk is not None) is (True in vehicle.signs.values())


@given(cases(), st.sampled_from(SIGNS))
def test_a_sign_is_never_milder_unknown_than_no_nor_yes_than_unknown(
    case: CaseFacts, sign: str
) -> None:
    no, unknown, yes = (
        assess(_with_sign(case, sign, answer=answer), BOOK) for answer in (False, None, True)
    )
    for milder, worse in ((no, unknown), (unknown, yes)):
        assert worse.risk is milder.risk is None or (
            worse.risk is not None and (milder.risk is None or worse.risk >= milder.risk)
        )
        assert worse.hv_flag >= milder.hv_flag
        assert worse.signal_word >= milder.signal_word
        assert worse.quarantine.level >= milder.quarantine.level
        assert worse.transport.transport_class >= milder.transport.transport_class


def _with_sign(case: CaseFacts, sign: str, *, answer: bool | None) -> CaseFacts:
    signs = {**case.vehicle.signs, sign: answer}
    return replace(case, vehicle=replace(case.vehicle, signs=signs))


@given(cases())
def test_a_battery_not_seen_whole_is_never_carried_more_lightly(case: CaseFacts) -> None:
    def carried(*, seen: bool | None) -> int:
        vehicle = replace(case.vehicle, battery_seen_whole=seen)
        return assess(replace(case, vehicle=vehicle), BOOK).transport.transport_class

    assert carried(seen=True) <= carried(seen=False) == carried(seen=None)


@given(cases())
def test_the_same_facts_give_the_same_answer(case: CaseFacts) -> None:
    assert assess(case, BOOK) == assess(case, BOOK)


@given(cases(min_size=1))
def test_every_flagged_finding_carries_every_safing_action_of_its_degree(case: CaseFacts) -> None:
    for found in assess(case, BOOK).findings:
        given_ids = {action.id for action in found.actions}
        assert BOOK.safing_actions[found.hv_flag] <= given_ids
        assert bool(found.hv_reasons) is (found.hv_flag is not HvFlag.NONE)


@given(cases(min_size=1))
def test_the_deciding_rules_decided(case: CaseFacts) -> None:
    for found in assess(case, BOOK).findings:
        assert found.decided_by
        assert set(found.decided_by) <= _rules(found)
        for rule_id in found.decided_by:
            then = BOOK.rules[rule_id].then
            assert found.consequence is then.consequence or found.likelihood is then.likelihood
