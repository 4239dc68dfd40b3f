"""Laws of the gate over answers and decisions in any order."""

from hypothesis import given
from hypothesis import strategies as st

from tests.builders import SIGNED, a_case
from triage_app.domain.admission.commands import AnswerSign, DecideAdmission
from triage_app.domain.admission.entries import HoldDecided, SignAnswered, Verdict
from triage_app.domain.admission.status import AdmissionState, admission_of
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import AdmissionId
from triage_app.domain.vehicle import SIGNS, Answer

steps = st.lists(
    st.tuples(st.sampled_from(SIGNS), st.sampled_from(Answer)) | st.sampled_from(Verdict),
    max_size=30,
)


def walked(given_steps: list[tuple[str, Answer] | Verdict]) -> Case:
    case = a_case()
    for number, step in enumerate(given_steps):
        case = one_more(case, step, number)
    return case


def one_more(case: Case, step: tuple[str, Answer] | Verdict, number: int) -> Case:
    entry_id = AdmissionId(f"A{number}")
    if not isinstance(step, Verdict):
        what = SignAnswered(sign=step[0], answer=step[1])
        return AnswerSign(entry_id=entry_id, what=what).apply(case, SIGNED)
    decision = HoldDecided(verdict=step, reason="Looked.", seen=admission_of(case).causes)
    try:
        return DecideAdmission(entry_id=entry_id, what=decision).apply(case, SIGNED)
    except InvalidInputError:
        return case


@given(steps)
def test_without_a_decision_only_a_named_no_to_every_sign_holds_nothing(
    given_steps: list[tuple[str, Answer] | Verdict],
) -> None:
    answers = [step for step in given_steps if not isinstance(step, Verdict)]
    status = admission_of(walked(list(answers)))
    last = dict(answers)
    ever_yes = any(answer is Answer.YES for _, answer in answers)
    all_no = all(last.get(sign) is Answer.NO for sign in SIGNS)
    assert status.is_held is (ever_yes or not all_no)


@given(steps, st.sampled_from(SIGNS), st.sampled_from([Answer.YES, Answer.UNKNOWN]))
def test_a_bad_answer_at_the_end_always_holds_whatever_came_before(
    given_steps: list[tuple[str, Answer] | Verdict], sign: str, answer: Answer
) -> None:
    case = one_more(walked(given_steps), (sign, answer), len(given_steps))
    assert admission_of(case).is_held


@given(steps)
def test_what_lets_a_car_in_always_has_a_name_and_what_is_admitted_was_decided(
    given_steps: list[tuple[str, Answer] | Verdict],
) -> None:
    status = admission_of(walked(given_steps))
    if status.is_held:
        return
    assert not status.unanswered or status.state is AdmissionState.ADMITTED
    if status.causes:
        assert status.decided is not None
        assert status.decided.verdict is Verdict.ADMITTED
        assert set(status.causes) <= set(status.decided.seen)
