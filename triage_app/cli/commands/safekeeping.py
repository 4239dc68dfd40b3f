"""backup, restore: everything as one file, and back into an empty place."""

import argparse
from pathlib import Path

from triage_app.bootstrap import backup_to, restore_from
from triage_app.cli.command import Command, Desk
from triage_app.domain.errors import StorageError
from triage_app.storage.backup import BackupContents


def _backup_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path, required=True, help="new file to write"
    )


def _backup(options: argparse.Namespace, desk: Desk) -> int:
    contents = backup_to(desk.settings, options.output)
    print(f"{_held(contents)} written to {options.output} and read back.")
    if contents.missing:
        raise StorageError(
            f"The backup is whole but for {len(contents.missing)} files that the store has lost; "
            f"the first: {contents.missing[0]}"
        )
    return 0


def _restore_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("backup", metavar="FILE", type=Path, help="backup to put back")


def _restore(options: argparse.Namespace, desk: Desk) -> int:
    contents = restore_from(desk.settings, options.backup)
    print(f"{_held(contents)} are back.")
    if contents.missing:
        print(f"{len(contents.missing)} files were lost before the backup was made.")
    return 0


def _held(contents: BackupContents) -> str:
    return f"{contents.case_count} cases and {contents.file_count} files"


COMMANDS = (
    Command(
        name="backup",
        about="write all cases and files to one new file; the app may run meanwhile",
        arguments=_backup_arguments,
        run=_backup,
    ),
    Command(
        name="restore",
        about="put a backup back into a place that holds no case yet",
        arguments=_restore_arguments,
        run=_restore,
    ),
)
