"""findings, marks: what a case holds, for a spreadsheet or another program."""

import argparse
import json
import sys
from pathlib import Path

from triage_app.casefile.annotations import annotations
from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import FindingsDocument, show
from triage_app.cli.files import check_writable, write_file
from triage_app.report.findings_list import csv_of, finding_rows, finding_tags


def _findings_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="OUT.csv", type=Path, help="file to write; else it is printed"
    )
    parser.add_argument("--json", action="store_true", help="print as JSON")


def _findings(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.output is not None:
        check_writable(options.output)
    rows = finding_rows(case, desk.services.triage.assess(case.id, by=desk.reader), desk.rulebook)
    if options.json:
        show(FindingsDocument(reference=case.reference, revision=case.revision, findings=rows))
    if options.output is not None:
        write_file(options.output, csv_of(rows))
        # The document alone is on the output stream when a program reads it.
        print(
            f"{len(rows)} findings of case {case.reference} written to {options.output}.",
            file=sys.stderr if options.json else sys.stdout,
        )
    elif not options.json:
        sys.stdout.write(csv_of(rows).decode("utf-8-sig"))
    return 0


def _marks_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="OUT.jsonld", type=Path, help="file to write; else it is printed"
    )


def _marks(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.output is not None:
        check_writable(options.output)
    tags = finding_tags(case, desk.services.triage.assess(case.id, by=desk.reader), desk.rulebook)
    text = json.dumps(annotations(case, tags), indent=2, ensure_ascii=False, allow_nan=False)
    if options.output is None:
        print(text)
        return 0
    write_file(options.output, f"{text}\n".encode())
    print(f"Marks of case {case.reference} written to {options.output}.")
    return 0


COMMANDS = (
    Command(
        name="findings",
        about="list the findings of a case as CSV or JSON, in the report's words and order",
        arguments=_findings_arguments,
        run=_findings,
    ),
    Command(
        name="marks",
        about="write the marks of a case as W3C Web Annotations (JSON-LD)",
        arguments=_marks_arguments,
        run=_marks,
    ),
)
