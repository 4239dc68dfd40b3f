"""What holds a car outside, unlifted, and what a decision covers."""

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import ESTIMATOR, NOON, SENIOR, SIGNED, a_case
from tests.safing_records import THERMOMETER, with_entries
from triage_app.domain.admission.commands import AnswerSign, DecideAdmission
from triage_app.domain.admission.entries import (
    HoldCause,
    HoldDecided,
    SignAnswered,
    Verdict,
)
from triage_app.domain.admission.status import (
    AdmissionState,
    admission_of,
    signer_of,
    signs_of,
)
from triage_app.domain.case import Case
from triage_app.domain.commands import DescribeIncident
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.ids import AdmissionId
from triage_app.domain.safing.entries import TemperatureReading, WatchSign
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer, Incident

HELD, ADMITTED, NO_SIGN = AdmissionState.HELD, AdmissionState.ADMITTED, AdmissionState.NO_SIGN
BY_SENIOR = Signed(by=SENIOR.name, at=NOON + timedelta(hours=1))


def answered(case: Case, sign: str, answer: Answer, entry_id: str = "") -> Case:
    entry = AdmissionId(entry_id or f"{sign}-{len(case.admission)}")
    return AnswerSign(entry_id=entry, what=SignAnswered(sign=sign, answer=answer)).apply(
        case, SIGNED
    )


def all_answered_no() -> Case:
    case = a_case()
    for sign in SIGNS:
        case = answered(case, sign, Answer.NO)
    return case


def decided(
    case: Case,
    verdict: Verdict = Verdict.ADMITTED,
    *,
    seen: tuple[HoldCause, ...] | None = None,
    entry_id: str = "decision",
) -> Case:
    what = HoldDecided(
        verdict=verdict,
        reason="Looked at from upwind; nothing comes out.",
        seen=admission_of(case).causes if seen is None else seen,
    )
    return DecideAdmission(entry_id=AdmissionId(entry_id), what=what).apply(case, BY_SENIOR)


def test_a_case_that_nobody_answered_for_is_held_because_of_every_sign() -> None:
    status = admission_of(a_case())
    assert status.state is HELD
    assert [cause.sign for cause in status.holding] == list(SIGNS)
    assert status.unanswered == SIGNS


def test_every_sign_answered_no_by_name_holds_nothing() -> None:
    status = admission_of(all_answered_no())
    assert (status.state, status.causes, status.unanswered) == (NO_SIGN, (), ())
    assert {one.answered.recorded.by for one in status.signs if one.answered} == {ESTIMATOR.name}


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("answer", [Answer.YES, Answer.UNKNOWN])
def test_one_bad_answer_holds_the_car(sign: str, answer: Answer) -> None:
    case = answered(all_answered_no(), sign, answer, "bad")
    assert admission_of(case).state is HELD
    assert admission_of(case).holding == (HoldCause(sign=sign, answer=answer, answered_in="bad"),)


@pytest.mark.parametrize("sign", SIGNS)
def test_a_no_that_an_older_record_holds_without_a_name_is_no_answer(sign: str) -> None:
    """As a case file of before the gate: the intake says no, and nobody stands for it."""
    whole = all_answered_no()
    entries = tuple(
        entry
        for entry in whole.admission
        if isinstance(entry.what, SignAnswered) and entry.what.sign != sign
    )
    status = admission_of(replace(whole, admission=entries))
    assert status.state is HELD
    assert status.holding == (HoldCause(sign=sign, answer=Answer.NO),)


def test_who_changes_a_sign_in_the_incident_stands_for_the_answer() -> None:
    incident = Incident(**dict.fromkeys(SIGNS, Answer.NO))  # type: ignore[arg-type]  # signs only
    case = DescribeIncident(incident=incident).apply(a_case(), SIGNED)
    assert admission_of(case).state is NO_SIGN
    again = DescribeIncident(incident=replace(incident, odour=Answer.YES)).apply(case, BY_SENIOR)
    [cause] = admission_of(again).holding
    assert (cause.sign, cause.answer) == ("odour", Answer.YES)
    assert signer_of(again, cause) == BY_SENIOR


def test_a_yes_goes_on_holding_after_a_later_no_until_somebody_decides() -> None:
    case = answered(all_answered_no(), "smoke", Answer.YES, "yes")
    case = answered(case, "smoke", Answer.NO, "no")
    assert signs_of(case)["smoke"] is True
    assert admission_of(case).holding == (
        HoldCause(sign="smoke", answer=Answer.YES, answered_in="yes"),
    )
    assert admission_of(decided(case)).state is ADMITTED
    assert signs_of(decided(case))["smoke"] is False


def test_a_no_after_the_decision_takes_nothing_back_until_it_is_decided_on_too() -> None:
    case = decided(answered(all_answered_no(), "smoke", Answer.YES, "yes"))
    assert signs_of(case)["smoke"] is True
    case = answered(case, "smoke", Answer.NO, "no")
    assert signs_of(case)["smoke"] is True
    assert signs_of(decided(case, entry_id="again"))["smoke"] is False


def test_not_known_that_is_answered_later_no_longer_holds() -> None:
    case = answered(all_answered_no(), "water", Answer.UNKNOWN)
    assert admission_of(case).state is HELD
    assert admission_of(answered(case, "water", Answer.NO)).state is NO_SIGN


def test_a_decision_names_person_time_and_reason_and_covers_what_it_saw() -> None:
    case = decided(answered(all_answered_no(), "odour", Answer.YES, "smell"))
    status = admission_of(case)
    assert (status.state, status.holding) == (ADMITTED, ())
    assert status.decision is not None
    assert status.decision.recorded == BY_SENIOR
    assert status.decided is not None
    assert status.decided.reason.startswith("Looked at from upwind")
    assert status.decided.seen == (HoldCause(sign="odour", answer=Answer.YES, answered_in="smell"),)


@pytest.mark.parametrize("answer", [Answer.YES, Answer.UNKNOWN])
@pytest.mark.parametrize("sign", ["odour", "hissing"], ids=["the same sign", "another sign"])
def test_a_later_bad_answer_holds_the_car_again(sign: str, answer: Answer) -> None:
    case = decided(answered(all_answered_no(), "odour", Answer.YES))
    case = answered(case, sign, answer, "later")
    status = admission_of(case)
    assert status.state is HELD
    assert status.holding == (HoldCause(sign=sign, answer=answer, answered_in="later"),)
    assert admission_of(decided(case, entry_id="second")).state is ADMITTED


def test_a_later_good_answer_takes_no_decision_away() -> None:
    case = decided(answered(all_answered_no(), "odour", Answer.UNKNOWN))
    assert admission_of(answered(case, "smoke", Answer.NO)).state is ADMITTED


def test_a_decision_over_an_answer_that_was_not_seen_is_refused() -> None:
    case = answered(all_answered_no(), "odour", Answer.YES)
    seen = admission_of(case).causes
    case = answered(case, "smoke", Answer.YES)
    with pytest.raises(StaleCaseError, match="came after you looked: smoke: yes"):
        decided(case, seen=seen)


def test_a_car_that_nothing_holds_needs_no_decision() -> None:
    with pytest.raises(InvalidInputError, match="Nothing holds this car"):
        decided(all_answered_no())


def test_a_car_can_be_kept_outside_whatever_the_answers_say() -> None:
    case = decided(all_answered_no(), Verdict.KEPT_OUTSIDE)
    assert admission_of(case).state is HELD
    assert admission_of(decided(case, entry_id="second")).state is NO_SIGN


def test_kept_outside_after_it_was_admitted_holds_it_again() -> None:
    case = decided(answered(all_answered_no(), "odour", Answer.YES))
    assert admission_of(decided(case, Verdict.KEPT_OUTSIDE, entry_id="2")).state is HELD


def test_a_decision_without_a_reason_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="reason"):
        HoldDecided(verdict=Verdict.ADMITTED, reason="  ", seen=())


def test_a_sign_that_nobody_asks_for_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="no warning sign 'rain'"):
        SignAnswered(sign="rain", answer=Answer.NO)


def test_an_answer_and_a_decision_given_twice_stand_once() -> None:
    case = answered(all_answered_no(), "odour", Answer.YES, "once")
    assert answered(case, "odour", Answer.NO, "once") is case
    case = decided(case)
    assert decided(case) is case


@pytest.mark.parametrize("seen", WatchSign)
def test_a_sign_noticed_at_the_temperature_watch_is_a_later_yes(seen: WatchSign) -> None:
    reading = TemperatureReading(
        place="battery underside", value_c=21, instrument=THERMOMETER, signs=(seen,)
    )
    case = with_entries(decided(answered(all_answered_no(), "odour", Answer.UNKNOWN)), reading)
    status = admission_of(case)
    assert status.state is HELD
    [cause] = status.holding
    assert (cause.sign, cause.answer, cause.answered_in) == (
        seen.value,
        Answer.YES,
        case.safing[0].id,
    )
    assert signer_of(case, cause) == case.safing[0].recorded
    assert signs_of(case)[seen.value] is True
