"""report, rule-book: the Word documents, one of a case and one of the rule book."""

import argparse
from pathlib import Path

from triage_app.bootstrap import report_writer, rule_book_file
from triage_app.cli.command import Command, Desk
from triage_app.cli.files import check_writable, write_file
from triage_app.cli.words import printable
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Operator
from triage_app.report.pdf import check_pdf_is_possible, pdf_of


def _release_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="OUT.docx", type=Path, required=True, help="file to write"
    )
    parser.add_argument(
        "--revision",
        metavar="N",
        type=int,
        required=True,
        help="the revision of the case that you looked at; 'review' prints it",
    )


def _release(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    check_writable(options.output)
    for blocker in desk.services.reporting.blockers(case):
        print(f"{blocker.kind}: {printable(blocker.what)}")
    issued = desk.services.reporting.release(
        case.id,
        expected_revision=options.revision,
        by=by,
        render=report_writer(desk.settings, desk.rulebook),
    )
    _written(issued.data, options.output)
    print(f"Report of case {case.reference} released and written to {options.output}.")
    return 0


def issue_to(path: Path, case: Case, desk: Desk, *, by: Operator) -> None:
    """Issue the report of ``case``, put it on record and write it to ``path``."""
    _written(_issued(case, desk, by=by), path)


def _issued(case: Case, desk: Desk, *, by: Operator) -> bytes:
    render = report_writer(desk.settings, desk.rulebook)
    return desk.services.reporting.issue(case.id, by=by, render=render).data


def _written(data: bytes, path: Path) -> None:
    try:
        write_file(path, data)
    except InvalidInputError as error:
        raise InvalidInputError(
            f"{error} The report is on record with the case; free some room and try again."
        ) from error


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="OUT.docx", type=Path, required=True, help="file to write"
    )
    parser.add_argument(
        "--pdf",
        metavar="OUT.pdf",
        type=Path,
        help="the same as PDF, where LibreOffice is installed",
    )


def _report(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    check_writable(options.output)
    if options.pdf is not None:
        check_writable(options.pdf)
        check_pdf_is_possible()
    data = _issued(case, desk, by=by)
    _written(data, options.output)
    print(f"Report of case {case.reference} written to {options.output}.")
    if options.pdf is not None:
        _written(pdf_of(data), options.pdf)
        print(f"The same as PDF written to {options.pdf}.")
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
        name="release",
        about="release the report of a case: sign for its state as it is now",
        arguments=_release_arguments,
        run=_release,
    ),
    Command(
        name="rule-book",
        about="write the whole rule book as a Word document, to print and keep",
        arguments=_book_arguments,
        run=_rule_book,
    ),
)
