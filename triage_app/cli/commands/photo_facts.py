"""orange, clock, pin, pair, nothing-found, impact-line: what people say of the photos of a case."""

import argparse
from datetime import datetime

from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.commands.marking import find_photo
from triage_app.cli.documents import show
from triage_app.cli.words import HV_NOTICE, printable
from triage_app.domain.case import Case, Photo
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.findings import lies_on_impact_line
from triage_app.domain.proposals import Opinion

_STAYS = "The HV flag of marks near it stays as it is."


def _orange_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("photo", metavar="PHOTO", nargs="?", help="photo id, name or position")
    parser.add_argument(
        "area", metavar="AREA", nargs="?", type=int, help="number of the area on the photo, from 1"
    )
    said = parser.add_mutually_exclusive_group()
    said.add_argument("--cable", action="store_true", help="it is taken for an HV cable")
    said.add_argument("--no-cable", action="store_true", help="it is taken for something else")
    parser.add_argument("--reason", metavar="TEXT", help="why; goes on record with the name")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _orange(options: argparse.Namespace, desk: Desk) -> int:
    is_judged = options.cable or options.no_cable
    if is_judged != (options.area is not None) or is_judged != (options.reason is not None):
        raise UsageError("Give AREA, one of --cable and --no-cable, and --reason; or none of them.")
    case = desk.case(options.case)
    photos = case.photos if options.photo is None else (find_photo(case, options.photo),)
    if is_judged:
        opinion = Opinion.CABLE if options.cable else Opinion.NO_CABLE
        case = desk.services.photos.judge_orange(
            case.id, photos[0].id, options.area - 1, opinion, reason=options.reason,
            by=desk.operator,
        )  # fmt: skip
        photos = (case.photo(photos[0].id),)
    if options.json:
        show(case)
        return 0
    if any(photo.orange_areas for photo in photos):
        print(HV_NOTICE)
    for photo in photos:
        for line in _orange_lines(case, photo):
            print(line)
    if is_judged:
        print(_STAYS)
    return 0


def _orange_lines(case: Case, photo: Photo) -> list[str]:
    position = case.photos.index(photo) + 1
    name = printable(photo.file_name)
    if not photo.orange_areas:
        return [f"Photo {position}, {name}: no orange area found; that says nothing."]
    lines = []
    for area in range(len(photo.orange_areas)):
        given = photo.opinion_on(area)
        said = "nobody has said what it is"
        if given:
            said = printable(f"{given.opinion}, says {given.signed.by}: {given.reason}")
        lines.append(f"Photo {position}, {name}, area {area + 1}: {said}")
    return lines


def _clock_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("--shown", metavar="TIME", help="what the camera shows: 2031-05-04T09:00")
    parser.add_argument(
        "--really", metavar="TIME", help="the wall clock then, with zone: 2031-05-04T10:00+02:00"
    )
    parser.add_argument(
        "--camera", metavar="MODEL", default="", help="only this camera (see the list)"
    )
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _clock(options: argparse.Namespace, desk: Desk) -> int:
    if (options.shown is None) != (options.really is None):
        raise UsageError("Give --shown and --really together, or neither.")
    case = desk.case(options.case)
    if options.shown is not None:
        case = desk.services.photos.compare_clock(
            case.id,
            shown=_time(options.shown),
            really=_time(options.really),
            camera=options.camera,
            by=desk.operator,
        )
    if options.json:
        show(case)
        return 0
    for clock in case.clocks:
        seconds = clock.offset.total_seconds()
        print(printable(f"{clock.camera or 'all other cameras'}: {seconds:+.0f} s to UTC"))
    for photo in case.photos_by_time:
        really = case.really_taken_at(photo)
        told = f"{really:%Y-%m-%d %H:%M:%S} UTC" if really else "time not known for certain"
        camera = photo.camera or "camera not told"
        print(printable(f"{told}, {photo.file_name}, {camera}"))
    return 0


def _time(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise InvalidInputError(f"'{text}' is not a time; write it as 2031-05-04T09:00.") from None


def _pin_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("photo", metavar="PHOTO", help="photo id, name or position")
    place = parser.add_mutually_exclusive_group(required=True)
    place.add_argument(
        "--at", metavar=("X", "Y"), nargs=2, type=float,
        help="fractions of the plan: front up, driver's left on the left",
    )  # fmt: skip
    place.add_argument("--off", action="store_true", help="take the pin off")


def _pin(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    photo = find_photo(case, options.photo)
    place = None if options.off else (options.at[0], options.at[1])
    case = desk.services.photos.pin(case.id, photo.id, place, by=desk.operator)
    pin = case.photo(photo.id).plan_pin
    name = printable(photo.file_name)
    print(f"{name}: {desk.rulebook.zones[pin.zone].label}." if pin else f"{name}: not pinned.")
    return 0


def _nothing_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("photo", metavar="PHOTO", nargs="?", help="photo id, name or position")
    parser.add_argument("--off", action="store_true", help="take it back")


def _nothing(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.photo is not None:
        photo = find_photo(case, options.photo)
        case = desk.services.photos.nothing_found(
            case.id, photo.id, is_so=not options.off, by=desk.operator
        )
    for photo in case.photos_to_look_at:
        print(printable(f"{photo.file_name}: no mark, and nobody said that nothing is there."))
    return 0


def _line_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "--from", dest="start", metavar=("X", "Y"), nargs=2, type=float,
        help="where the object came from, in fractions of the plan: front up, left on the left",
    )  # fmt: skip
    parser.add_argument(
        "--to", dest="end", metavar=("X", "Y"), nargs=2, type=float, help="where it went"
    )
    parser.add_argument("--off", action="store_true", help="take the line off")
    parser.add_argument(
        "--reason", default="", help="why, where a finding at HV gets milder by that"
    )


def _line(options: argparse.Namespace, desk: Desk) -> int:
    is_drawn = options.start is not None and options.end is not None
    if is_drawn == options.off:
        raise UsageError("Give --from and --to, or --off.")
    ends = None
    if is_drawn:
        ends = ((options.start[0], options.start[1]), (options.end[0], options.end[1]))
    case = desk.case(options.case)
    case = desk.services.photos.draw_impact_line(
        case.id, ends, by=desk.operator, reason=options.reason
    )
    for finding in case.open_findings:
        if lies_on_impact_line(case, finding):
            print(f"Finding {finding.number} lies on the line.")
    print("The line only ever adds; it clears no finding beside it.")
    return 0


def _pair_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("before", metavar="BEFORE", help="photo with the shield on")
    parser.add_argument("after", metavar="AFTER", help="photo of the same place without it")
    parser.add_argument("--part", action="store_true", help="take the two apart again")


def _pair(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    before, after = (find_photo(case, text) for text in (options.before, options.after))
    act = desk.services.photos.part if options.part else desk.services.photos.pair
    case = act(case.id, before.id, after.id, by=desk.operator)
    for pair in case.photo_pairs:
        names = (case.photo(pair.before_id).file_name, case.photo(pair.after_id).file_name)
        print(printable(f"before: {names[0]}, after: {names[1]}"))
    return 0


COMMANDS = (
    Command(
        name="orange",
        about="list proposed orange areas, or say what one is taken for; clears no flag",
        arguments=_orange_arguments,
        run=_orange,
    ),
    Command(
        name="clock",
        about="compare a camera's clock with the wall clock; lists photos by real time",
        arguments=_clock_arguments,
        run=_clock,
    ),
    Command(
        name="pin",
        about="say where on the plan of the underside a photo was taken",
        arguments=_pin_arguments,
        run=_pin,
    ),
    Command(
        name="pair",
        about="put a photo before and one after a shield came off side by side",
        arguments=_pair_arguments,
        run=_pair,
    ),
    Command(
        name="nothing-found",
        about="say that a photo shows no damage, or list the photos still to look at",
        arguments=_nothing_arguments,
        run=_nothing,
    ),
    Command(
        name="impact-line",
        about="draw the line along which the object passed under the car",
        arguments=_line_arguments,
        run=_line,
    ),
)
