"""What every entry of the make-safe record has in common on the command line."""

import argparse
from datetime import date, datetime

from triage_app.cli.command import Desk
from triage_app.cli.commands.marking import find_photo
from triage_app.cli.documents import MakeSafeDocument, show
from triage_app.cli.make_safe_words import status_lines
from triage_app.cli.words import HV_NOTICE
from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Entered, MeterCategory, SafingInstrument


def slug(name: str) -> str:
    return name.lower().replace("_", "-")


_CATEGORIES = {category.value.removeprefix("CAT "): category for category in MeterCategory}


def _time(text: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError("such as 2031-11-30T14:05:00Z") from error
    if at.tzinfo is None:
        raise argparse.ArgumentTypeError("give the time with its zone, such as ...Z or ...+01:00")
    return at


def case_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")


def entry_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--note", metavar="TEXT", default="", help="anything else")
    parser.add_argument("--photo", metavar="PHOTO", help="a photo of the case that shows it")
    parser.add_argument(
        "--at", metavar="TIME", type=_time, help="when it was done; else now. The order is checked"
    )
    parser.add_argument(
        "--again", action="store_true", help="it was done once more; what rested on it falls"
    )
    parser.add_argument("--json", action="store_true", help="print the state as JSON")


def instrument_arguments(parser: argparse.ArgumentParser) -> None:
    used = parser.add_argument_group("measured with")
    used.add_argument("--instrument", metavar="TEXT", default="", help="what it is")
    used.add_argument("--serial", metavar="TEXT", default="", help="its serial number")
    used.add_argument("--category", choices=list(_CATEGORIES), help="measurement category")
    used.add_argument("--rated-v", metavar="V", type=float, help="rated for so many volts")
    used.add_argument(
        "--calibration-due", metavar="DATE", type=date.fromisoformat, help="such as 2031-11-30"
    )


def instrument(options: argparse.Namespace) -> SafingInstrument:
    return SafingInstrument(
        name=options.instrument,
        serial=options.serial,
        category=_CATEGORIES[options.category] if options.category else None,
        rated_v=options.rated_v,
        calibration_due=options.calibration_due,
    )


def record(options: argparse.Namespace, desk: Desk, what: Entered) -> int:
    by = desk.operator
    case = desk.case(options.case)
    photo_id = None if options.photo is None else find_photo(case, options.photo).id
    after = desk.services.safing.record(
        case.id,
        what,
        by=by,
        done_at=options.at,
        note=options.note,
        photo_id=photo_id,
        again=options.again,
    )
    return say(options, desk, after)


def say(options: argparse.Namespace, desk: Desk, case: Case) -> int:
    safing = desk.services.safing
    status = safing.status(case)
    if options.json:
        show(MakeSafeDocument.of(status, safing.isolation(case), safing.watch(case)))
        return 0
    print(HV_NOTICE)
    for line in status_lines(status, safing.isolation(case), safing.watch(case)):
        print(line)
    return 0
