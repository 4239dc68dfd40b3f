"""admission, answer-sign, decide-admission: what holds a car outside, unlifted."""

import argparse
from collections.abc import Iterator

from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import show
from triage_app.cli.words import HV_NOTICE, printable
from triage_app.domain.admission.entries import HoldCause, Verdict
from triage_app.domain.admission.status import AdmissionState, AdmissionStatus, signer_of
from triage_app.domain.case import Case
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer

_VERDICTS = {"admit": Verdict.ADMITTED, "keep-outside": Verdict.KEPT_OUTSIDE}
_NO_RELEASE = "That says nothing about the car; go on looking and listening."


def gate_lines(case: Case, status: AdmissionStatus) -> Iterator[str]:
    """Yield where a case stands at the gate, and because of what."""
    if status.state is AdmissionState.NO_SIGN:
        yield f"Nobody recorded a sign; nothing holds the car outside. {_NO_RELEASE}"
    elif status.is_held:
        yield "HELD OUTSIDE, UNLIFTED: a senior technician has to decide."
    else:
        yield f"Admitted by decision, which covers the answers named here only. {_NO_RELEASE}"
    if status.decision is not None and status.decided is not None:
        by = signed_words(status.decision.recorded)
        yield f"  {status.decided.verdict} by {by} because: {printable(status.decided.reason)}"
    for cause in status.holding:
        yield f"  holds it: {_cause(case, cause)}"
    for cause in status.causes:
        if cause not in status.holding:
            yield f"  decided: {_cause(case, cause)}"


def signed_words(signed: Signed) -> str:
    """Return who and when, in one line."""
    return f"{printable(signed.by)}, {signed.at:%Y-%m-%d %H:%M} UTC"


def _cause(case: Case, cause: HoldCause) -> str:
    signer = signer_of(case, cause)
    by = signed_words(signer) if signer else "nobody answered it by name"
    answer = "not known" if cause.answer is Answer.UNKNOWN else cause.answer.value
    return f"{cause.sign.replace('_', ' ')}: {answer} ({by})"


def _case_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")


def _json_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _show_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    _json_argument(parser)


def _answer_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    parser.add_argument("sign", metavar="SIGN", choices=SIGNS, help=f"one of {', '.join(SIGNS)}")
    answers = [each.value for each in Answer]
    parser.add_argument(
        "answer", metavar="ANSWER", choices=answers, help=f"one of {', '.join(answers)}"
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="what was seen or heard")
    _json_argument(parser)


def _decide_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    parser.add_argument(
        "verdict", metavar="VERDICT", choices=_VERDICTS, help=f"one of {', '.join(_VERDICTS)}"
    )
    parser.add_argument("--reason", metavar="TEXT", required=True, help="goes on record")
    _json_argument(parser)


def _show(options: argparse.Namespace, desk: Desk) -> int:
    return _say(options, desk, desk.case(options.case))


def _answer(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    after = desk.services.admission.answer(
        case.id, options.sign, Answer(options.answer), by=by, note=options.note
    )
    return _say(options, desk, after)


def _decide(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    status = desk.services.admission.status(case)
    after = desk.services.admission.decide(
        case.id, _VERDICTS[options.verdict], reason=options.reason, seen=status.causes, by=by
    )
    return _say(options, desk, after)


def _say(options: argparse.Namespace, desk: Desk, case: Case) -> int:
    if options.json:
        show(case)
        return 0
    print(HV_NOTICE)
    for line in gate_lines(case, desk.services.admission.status(case)):
        print(line)
    return 0


COMMANDS = (
    Command(
        name="admission",
        about="say whether a car is held outside, unlifted, and because of which answers",
        arguments=_show_arguments,
        run=_show,
    ),
    Command(
        name="answer-sign",
        about="answer one warning sign in one's own name, before the car goes onto the lift",
        arguments=_answer_arguments,
        run=_answer,
    ),
    Command(
        name="decide-admission",
        about="decide with a reason about a car that is held; covers the answers of now only",
        arguments=_decide_arguments,
        run=_decide,
    ),
)
