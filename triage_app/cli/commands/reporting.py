"""report, rule-book: the Word documents, one of a case and one of the rule book."""

import argparse
from pathlib import Path

from triage_app.bootstrap import report_writer, rule_book_file
from triage_app.cli.command import Command, Desk
from triage_app.cli.files import check_writable, write_file
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Operator


def issue_to(path: Path, case: Case, desk: Desk, *, by: Operator) -> None:
    """Issue the report of ``case``, put it on record and write it to ``path``."""
    render = report_writer(desk.settings, desk.rulebook)
    issued = desk.services.reporting.issue(case.id, by=by, render=render)
    try:
        write_file(path, issued.data)
    except InvalidInputError as error:
        raise InvalidInputError(
            f"{error} The report is on record with the case; free some room and try again."
        ) from error


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="OUT.docx", type=Path, required=True, help="file to write"
    )


def _report(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    check_writable(options.output)
    issue_to(options.output, case, desk, by=by)
    print(f"Report of case {case.reference} written to {options.output}.")
    return 0


def _book_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--output", metavar="BOOK.docx", type=Path, required=True, help="file to write"
    )


def _rule_book(options: argparse.Namespace, desk: Desk) -> int:
    book = desk.rulebook
    check_writable(options.output)
    write_file(options.output, rule_book_file(desk.settings, book, by=desk.settings.operator))
    print(f"Rule book, revision {book.stamp.revision}, written to {options.output}.")
    return 0


COMMANDS = (
    Command(
        name="report",
        about="issue the Word report of a case, and put it on record",
        arguments=_arguments,
        run=_report,
    ),
    Command(
        name="rule-book",
        about="write the whole rule book as a Word document, to print and keep",
        arguments=_book_arguments,
        run=_rule_book,
    ),
)
