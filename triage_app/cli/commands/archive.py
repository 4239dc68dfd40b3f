"""export, import, tidy: cases as files, and files without a case."""

import argparse
from pathlib import Path

from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import TidyDocument, show
from triage_app.cli.files import check_writable, read_file, write_file
from triage_app.services.bundle import MAX_TOTAL_BYTES


def _export_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "-o", "--output", metavar="BUNDLE.zip", type=Path, required=True, help="file to write"
    )
    parser.add_argument(
        "--for-insurer",
        action="store_true",
        help="upright copies without place and camera data instead of the originals",
    )


def _export(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    check_writable(options.output)
    data = desk.services.archive.export(case.id, by=desk.reader, for_insurer=options.for_insurer)
    write_file(options.output, data)
    print(f"Case {case.reference} written to {options.output}.")
    if not options.for_insurer and case.photos:
        print("It holds the untouched originals, which may tell where they were taken.")
    return 0


def _import_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("bundle", metavar="BUNDLE.zip", type=Path, help="bundle to take in")


def _import(options: argparse.Namespace, desk: Desk) -> int:
    data = read_file(options.bundle, at_most_bytes=MAX_TOTAL_BYTES)
    case = desk.services.archive.import_bundle(data, by=desk.reader)
    print(
        f"Case {case.reference} is here, with {len(case.photos)} photos and "
        f"{len(case.findings)} findings."
    )
    return 0


def _tidy_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--delete", action="store_true", help="remove them; without it they are only listed"
    )
    parser.add_argument("--json", action="store_true", help="print as JSON")


def _tidy(options: argparse.Namespace, desk: Desk) -> int:
    orphans = tuple(desk.services.archive.tidy(by=desk.reader, delete=options.delete))
    if options.json:
        show(TidyDocument(deleted=options.delete, files=orphans))
        return 0
    for name in orphans:
        print(name)
    done = "removed" if options.delete else "not needed by any case"
    print(f"{len(orphans)} files {done}.")
    return 0


COMMANDS = (
    Command(
        name="export",
        about="write a whole case as one file",
        arguments=_export_arguments,
        run=_export,
    ),
    Command(
        name="import",
        about="take in a case that was exported elsewhere",
        arguments=_import_arguments,
        run=_import,
    ),
    Command(
        name="tidy",
        about="list stored files that no case needs, left behind by a crash",
        arguments=_tidy_arguments,
        run=_tidy,
    ),
)
