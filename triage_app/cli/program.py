"""Read the arguments, run the command, and turn every refusal into one plain sentence."""

import argparse
import io
import os
import sys
from collections.abc import Sequence

from rules import RulebookError
from triage_app import __version__
from triage_app.cli.command import Command, JournalBrokenError, UsageError, desk_for
from triage_app.cli.commands import COMMANDS
from triage_app.cli.words import printable
from triage_app.domain.errors import TriageError

DONE, REFUSED, WRONG_USAGE, JOURNAL_BROKEN, INTERRUPTED = 0, 1, 2, 3, 130

_ABOUT = (
    "Underside damage of electric cars: photos in, high-voltage findings flagged, a Word report "
    "out. The vehicle maker's procedure comes first, then local codes and licensed practice; a "
    "disconnected battery still holds its energy."
)


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands; the reference page is made from it."""
    common = _common_options()
    parser = argparse.ArgumentParser(
        prog="underbody", description=_ABOUT, parents=[common], allow_abbrev=False
    )
    parser.add_argument("--version", action="version", version=f"underbody {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", dest="command_name", required=True)
    for command in COMMANDS:
        own = commands.add_parser(
            command.name,
            help=command.about,
            description=command.about,
            parents=[common],
            allow_abbrev=False,
        )
        command.arguments(own)
        own.set_defaults(command=command)
    return parser


def run(argv: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status; nothing is raised for bad input."""
    _never_fail_on_odd_names()
    parser = build_parser()
    try:
        options = parser.parse_args(argv)
    except SystemExit as stop:  # argparse has said what is wrong, or shown the help.
        return int(stop.code or 0)
    try:
        return _run(options.command, options)
    except UsageError as error:
        return _say(str(error), WRONG_USAGE)
    except JournalBrokenError as error:
        return _say(str(error), JOURNAL_BROKEN)
    except (TriageError, RulebookError) as error:
        return _say(str(error), REFUSED)
    except BrokenPipeError:
        # Whoever reads the output has gone away, as "| head" does: nobody is left to tell.
        _let_go_of_output()
        return REFUSED
    except OSError as error:
        _let_go_of_output()
        return _say(_os_sentence(error), REFUSED)
    except KeyboardInterrupt:
        return _say("Interrupted; what was answered before is stored.", INTERRUPTED)


def _run(command: Command, options: argparse.Namespace) -> int:
    desk = desk_for(options)
    try:
        status = command.run(options, desk)
        sys.stdout.flush()  # Here, because a full disk can still be answered here.
    finally:
        desk.close()
    return status


def _common_options() -> argparse.ArgumentParser:
    # Absent options leave no trace, so that one before the command is not lost to the default
    # of the same one after it.
    common = argparse.ArgumentParser(add_help=False, argument_default=argparse.SUPPRESS)
    group = common.add_argument_group("for every command")
    group.add_argument(
        "--by", metavar="NAME", help="who does this, for the record (UNDERBODY_OPERATOR)"
    )
    group.add_argument(
        "--role",
        metavar="ROLES",
        help="roles you act in, with commas: estimator, senior_technician, adjuster, "
        "administrator (UNDERBODY_ROLES)",
    )
    group.add_argument("--cases", metavar="URL", help="database of cases (UNDERBODY_CASES)")
    group.add_argument("--files", metavar="URL", help="folder of originals (UNDERBODY_FILES)")
    return common


def _say(sentence: str, status: int) -> int:
    print(f"underbody: {printable(sentence)}", file=sys.stderr)
    return status


def _let_go_of_output() -> None:
    """Python flushes once more at its end, and must then find a place that takes it."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _os_sentence(error: OSError) -> str:
    place = f"'{error.filename}'" if error.filename else "a file"
    return f"Cannot use {place}: {error.strerror or 'the system refused'}."


def _never_fail_on_odd_names() -> None:
    """Show what cannot be shown escaped, instead of failing on it."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
