"""journal: who did what and when, and whether that record is whole."""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass

from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.cases import case_to_json
from triage_app.casefile.journals import JOURNAL_FORMAT, JournalFile
from triage_app.cli.command import Command, Desk, JournalBrokenError, UsageError
from triage_app.cli.documents import JournalCheckDocument, show
from triage_app.domain.case import Case
from triage_app.domain.ids import checked_sha256
from triage_app.domain.journal import JournalEntry, first_bad_entry


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalFault:
    """What is wrong with a journal; ``entry`` is the first bad one, None when each is whole."""

    sentence: str
    entry: int | None = None


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
    after = None if head is None or fault else len(entries) - (_place_of(head, entries) or 0)
    last_hash = entries[-1].entry_hash if entries else ""
    if options.json:
        show(
            JournalCheckDocument(
                whole=fault is None,
                fault="" if fault is None else fault.sentence,
                first_bad_entry=None if fault is None else fault.entry,
                count=len(entries),
                head=last_hash,
                entries_after_given_head=after,
            )
        )
    if fault is not None:
        raise JournalBrokenError(fault.sentence)
    if not options.json:
        print(f"The journal is whole: {len(entries)} entries, head {last_hash}")
        if after:
            print(f"The head given is in it; {after} entries were made after it.")
    return 0


def journal_fault(
    case: Case, entries: Sequence[JournalEntry], *, head: str | None, count: int | None
) -> JournalFault | None:
    """Return what is wrong with a journal, or None when nothing is.

    Without ``head`` a cut tail or a full rewrite can stay unseen where the case was changed too.
    """
    bad = 1 if not entries else first_bad_entry(entries, case_id=case.id)
    if bad is not None:
        return JournalFault(
            sentence=f"The journal of case {case.reference} is broken at entry {bad}.", entry=bad
        )
    if head is not None:
        place = _place_of(head, entries)
        if place is None or (count is not None and count != place):
            at = f" at entry {count}" if count is not None else ""
            return JournalFault(
                sentence=f"The journal of case {case.reference} does not hold this head{at}: its "
                "end was cut off, or it was written anew."
            )
    whole = len(entries) == case.revision
    if not whole or entries[-1].case_sha256 != sha256_of(case_to_json(case)):
        return JournalFault(
            sentence=f"The case {case.reference} is not as entry {len(entries)}, the last of its "
            "journal, left it."
        )
    return None


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
