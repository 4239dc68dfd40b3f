"""journal: who did what and when, and whether that record is whole."""

import argparse
from collections.abc import Sequence

from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.cases import case_to_json
from triage_app.casefile.journals import JOURNAL_FORMAT, JournalFile
from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.documents import JournalCheckDocument, show
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import checked_sha256
from triage_app.domain.journal import JournalEntry, first_bad_entry


class _BrokenJournalError(InvalidInputError):
    """The journal is not the one that was written."""


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "--verify", action="store_true", help="check the chain of hashes instead of printing it"
    )
    parser.add_argument(
        "--head",
        metavar="HASH",
        help="with --verify: a head hash kept elsewhere, as an issued report prints it",
    )
    parser.add_argument(
        "--count",
        metavar="N",
        type=int,
        help="with --head: how many entries there were, as printed beside the hash",
    )
    parser.add_argument("--json", action="store_true", help="print as JSON")


def _journal(options: argparse.Namespace, desk: Desk) -> int:
    if options.head is not None and not options.verify:
        raise UsageError("--head goes with --verify.")
    if options.count is not None and options.head is None:
        raise UsageError("--count goes with --head.")
    case = desk.case(options.case)
    entries = desk.services.cases.journal(case.id)
    if not options.verify:
        return _print(entries, as_json=options.json)
    head = None if options.head is None else checked_sha256(options.head.strip().lower())
    fault = journal_fault(case, entries, head=head, count=options.count)
    last_hash = entries[-1].entry_hash if entries else ""
    if options.json:
        show(JournalCheckDocument(whole=not fault, fault=fault, count=len(entries), head=last_hash))
    if fault:
        raise _BrokenJournalError(fault)
    if not options.json:
        print(f"The journal is whole: {len(entries)} entries, head {last_hash}")
    return 0


def journal_fault(
    case: Case, entries: Sequence[JournalEntry], *, head: str | None, count: int | None
) -> str:
    """Return what is wrong with a journal as a sentence, or "" when nothing is.

    Without ``head`` a cut tail or a full rewrite can stay unseen where the case was changed too.
    """
    bad = 1 if not entries else first_bad_entry(entries)
    if bad is not None:
        return f"The journal of case {case.reference} is broken at entry {bad}."
    if head is not None:
        place = _place_of(head, entries)
        if place is None or (count is not None and count != place):
            at = f" at entry {count}" if count is not None else ""
            return (
                f"The journal of case {case.reference} does not hold this head{at}: its end was "
                "cut off, or it was written anew."
            )
    whole = len(entries) == case.revision
    if not whole or entries[-1].case_sha256 != sha256_of(case_to_json(case)):
        return (
            f"The case {case.reference} is not as entry {len(entries)}, the last of its journal, "
            "left it."
        )
    return ""


def _place_of(head: str, entries: Sequence[JournalEntry]) -> int | None:
    return next((entry.sequence for entry in entries if entry.entry_hash == head), None)


def _print(entries: Sequence[JournalEntry], *, as_json: bool) -> int:
    if as_json:
        show(JournalFile(format=JOURNAL_FORMAT, entries=tuple(entries)))
        return 0
    for entry in entries:
        when = f"{entry.signed.at:%Y-%m-%d %H:%M:%S} UTC"
        print(f"{entry.sequence:>5}  {when}  {entry.signed.by}: {entry.kind}")
    if entries:
        print(f"{len(entries)} entries, head {entries[-1].entry_hash}")
    return 0


COMMANDS = (
    Command(
        name="journal",
        about="print who did what and when, or check that this record is whole",
        arguments=_arguments,
        run=_journal,
    ),
)
