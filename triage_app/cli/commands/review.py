"""review: what waits for a senior technician; confirm, escalate, lower or acknowledge it."""

import argparse
from collections.abc import Iterator, Sequence

from rules import HvFlag, Risk
from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.documents import show
from triage_app.cli.finders import finding_numbered
from triage_app.cli.words import HV_NOTICE, printable
from triage_app.domain.case import Case
from triage_app.domain.errors import NotFoundError, StaleCaseError
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.domain.review.queue import FindingReview, ReviewState
from triage_app.services.review import Decision

_VERDICTS = {
    "confirm": ReviewVerdict.CONFIRMED,
    "escalate": ReviewVerdict.ESCALATED,
    "lower": ReviewVerdict.LOWERED,
}
_FLAGS = {"at-hv": HvFlag.AT_HV, "within-reach": HvFlag.WITHIN_REACH, "none": HvFlag.NONE}
_SHOWN = 12  # digits of a hash
_RISKS = {each.name.lower(): each for each in Risk if each is not Risk.ELIMINATED}


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "finding", metavar="FINDING", type=int, nargs="?", help="its number; without, the queue"
    )
    parser.add_argument(
        "verdict", metavar="VERDICT", nargs="?", choices=_VERDICTS, help=", ".join(_VERDICTS)
    )
    parser.add_argument("--hv-flag", choices=list(_FLAGS), help="to what, where it changes")
    parser.add_argument("--risk", choices=list(_RISKS), help="to what, where it changes")
    parser.add_argument("--reason", metavar="TEXT", default="", help="goes on record")
    parser.add_argument(
        "--seen",
        metavar="HASH",
        type=_hash,
        help="beginning of the hash that the queue prints beside it: what you looked at",
    )
    parser.add_argument(
        "--acknowledge",
        metavar="HASH",
        type=_hash,
        nargs="+",
        help="acknowledge findings within reach of HV, each by the hash that the queue prints",
    )
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _hash(text: str) -> str:
    """Return the beginning of a SHA-256 as typed; long enough to name one thing only."""
    if len(text) < _SHOWN or not set(text.lower()) <= set("0123456789abcdef"):
        raise argparse.ArgumentTypeError(f"the first {_SHOWN} or more digits of a SHA-256")
    return text.lower()


def _review(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.acknowledge:
        case = _acknowledged(options.acknowledge, case, desk)
    elif options.finding is not None:
        if options.verdict is None:
            raise UsageError(f"Say what of finding {options.finding}: {', '.join(_VERDICTS)}.")
        if options.seen is None:
            raise UsageError("Say with --seen HASH what you looked at; the queue prints it.")
        case = _decided(options, case, desk)
    if options.json:
        show(case)
        return 0
    print(HV_NOTICE)
    for line in _lines(case, desk):
        print(line)
    return 0


def _decided(options: argparse.Namespace, case: Case, desk: Desk) -> Case:
    by = desk.operator
    finding = finding_numbered(case, options.finding)
    item = desk.services.review.queue(case).of(finding.id)
    if item is None:
        raise NotFoundError(f"Finding {finding.number} does not count any more.")
    if not item.sha256.startswith(options.seen):
        raise StaleCaseError(
            f"Finding {finding.number} is not what you looked at any more. Nothing was signed; "
            "look at the queue as it is now."
        )
    decision = Decision(
        verdict=_VERDICTS[options.verdict],
        hv_flag=_FLAGS[options.hv_flag] if options.hv_flag else None,
        risk=_RISKS[options.risk] if options.risk else None,
        reason=options.reason,
    )
    return desk.services.review.decide(case.id, finding.id, decision, seen=item.sha256, by=by)


def _acknowledged(hashes: Sequence[str], case: Case, desk: Desk) -> Case:
    group = desk.services.review.queue(case).group
    seen = {}
    for typed in hashes:
        found = [item for item in group if item.sha256.startswith(typed)]
        if not found:
            raise StaleCaseError(
                f"No finding within reach of high voltage is as {typed} says any more. Nothing was "
                "signed; look at the queue as it is now."
            )
        seen[found[0].finding.id] = found[0].sha256
    return desk.services.review.acknowledge(case.id, seen, by=desk.operator)


def _lines(case: Case, desk: Desk) -> Iterator[str]:
    queue = desk.services.review.queue(case)
    name = f"Case {printable(case.reference)}, revision {case.revision}"
    yield f"{name}: {len(queue.waiting)} waiting"
    for item in (*queue.one_by_one, *queue.group):
        yield _line(item)
        for review in item.reviews:
            reason = f": {printable(review.given.reason)}" if review.given.reason else ""
            yield (
                f"    {review.given.verdict} by {printable(review.signed.by)}, "
                f"{review.signed.at:%Y-%m-%d %H:%M} UTC, SHA-256 {review.given.sha256}{reason}"
            )


def _line(item: FindingReview) -> str:
    flag, risk = item.hv_flag.name.lower(), item.risk.name.lower()
    line = f"  finding {item.finding.number}: {risk} risk, {flag}, {item.state}"
    if item.is_lowered:
        rules = f"{item.answer.risk.name.lower()} risk, {item.answer.hv_flag.name.lower()}"
        line += f" (the rules say: {rules})"
    if item.state is ReviewState.UNSIGNED:
        line += f": {printable('; '.join(item.changes))}"
    return f"{line}; to sign: {item.sha256[:_SHOWN]}" if item.is_waiting else line


COMMANDS = (
    Command(
        name="review",
        about="list what waits for a senior technician, and sign it",
        arguments=_arguments,
        run=_review,
    ),
)
