"""checklist, inspect-item, expected-photo: what was seen under the car, and what was not."""

import argparse
from collections.abc import Iterator

from rules import ComponentId, ZoneId
from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.commands.gate import signed_words
from triage_app.cli.commands.marking import find_photo
from triage_app.cli.documents import show
from triage_app.cli.words import printable
from triage_app.domain.case import Case
from triage_app.domain.inspection.checklist import (
    Checklist,
    ItemStanding,
    PhotoStanding,
    Unexplained,
    ZoneList,
)
from triage_app.domain.inspection.entries import ExpectedPhoto, Item, ItemState

_STATES = {state.value.replace(" ", "-"): state for state in ItemState}
_PHOTOS = {one.value.replace(" ", "-"): one for one in ExpectedPhoto}


def checklist_lines(case: Case, listed: Checklist) -> Iterator[str]:
    """Yield the checklist in walking order: items that share their state in one line."""
    for zone in listed.zones:
        yield f"{zone.label} ({zone.zone})"
        yield from _zone_lines(zone)
    for finding in listed.unplaced:
        yield f"Finding {finding.number}: nobody named the part."
    yield "Photos that an insurer expects"
    yield from (_photo_line(case, one) for one in listed.photos)


def _zone_lines(zone: ZoneList) -> Iterator[str]:
    for state in ItemState:
        alike = [one for one in zone.items if one.state is state]
        plain = [one.item.component for one in alike if one.entry is None and not one.findings]
        if plain:
            yield f"  {state}: {', '.join(plain)}"
        for one in alike:
            if one.entry is not None or one.findings:
                yield f"  {state}: {one.item.component}{_because(one)}"


def _because(one: ItemStanding) -> str:
    parts = []
    if one.findings:
        parts.append(f"finding {', '.join(str(finding.number) for finding in one.findings)}")
    if one.entry is not None and one.said is not None:
        covers = {True: ", covers off", False: ", covers on", None: ""}[one.said.covers_off]
        said = "" if one.said.state is one.state else f"wrote '{one.said.state}', "
        parts.append(f"{said}{signed_words(one.entry.recorded)}{covers}")
        parts.append(printable(one.said.reason))
    if one.is_contradicted:
        parts.append("CONTRADICTED by the finding")
    return f" ({'; '.join(part for part in parts if part)})"


def _photo_line(case: Case, one: PhotoStanding) -> str:
    names = ", ".join(case.photo(photo_id).file_name for photo_id in one.photo_ids)
    settled = names or (f"none, because: {one.reason}" if one.reason else "open")
    return f"  {one.expected}: {printable(settled)}"


def unexplained_line(left: tuple[Unexplained, ...]) -> str:
    """Return how much is left to explain before a report is released."""
    if not left:
        return "Nothing is left to explain on the checklist."
    return f"{len(left)} left to explain before release, the first: {left[0].what}: {left[0].why}."


def _case_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")


def _list_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    parser.add_argument("--zone", metavar="ZONE", help="this zone only")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _inspect_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    parser.add_argument("zone", metavar="ZONE", help="zone, as in: underbody checklist CASE")
    parser.add_argument(
        "parts", metavar="PART", nargs="*", help="parts there; none means every part of the zone"
    )
    parser.add_argument("--state", choices=list(_STATES), required=True, help="what was seen")
    parser.add_argument(
        "--reason", metavar="TEXT", default="", help="why it was not accessible or not inspected"
    )
    covers = parser.add_mutually_exclusive_group()
    covers.add_argument("--covers-off", action="store_true", help="shields and covers were off")
    covers.add_argument("--covers-on", action="store_true", help="shields or covers were on")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _photo_arguments(parser: argparse.ArgumentParser) -> None:
    _case_argument(parser)
    parser.add_argument(
        "expected", metavar="WHAT", choices=_PHOTOS, help=f"one of {', '.join(_PHOTOS)}"
    )
    parser.add_argument("photos", metavar="PHOTO", nargs="*", help="photo id, name or position")
    parser.add_argument("--none-because", metavar="TEXT", default="", help="why there is none")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _list(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.json:
        show(case)
        return 0
    listed = desk.services.inspection.checklist(case)
    if options.zone is None:
        lines = checklist_lines(case, listed)
    else:
        lines = _zone_lines(_zone(listed, options.zone))
    for line in lines:
        print(line)
    print(unexplained_line(desk.services.inspection.unexplained(case)))
    return 0


def _inspect(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    state = _STATES[options.state]
    zone = ZoneId(options.zone)
    items = [Item(zone=zone, component=ComponentId(part)) for part in options.parts]
    if not items and state.was_seen:
        raise UsageError("Name the parts that were seen; only what was not seen goes by zone.")
    if not items:
        listed = _zone(desk.services.inspection.checklist(case), zone)
        items = [one.item for one in listed.items if not one.findings]
    covers_off = True if options.covers_off else (False if options.covers_on else None)
    after = desk.services.inspection.inspect(
        case.id, items, state, by=by, reason=options.reason, covers_off=covers_off
    )
    return _say(options, desk, after, f"{len(items)} items: {state}.")


def _zone(listed: Checklist, zone: str) -> ZoneList:
    for one in listed.zones:
        if one.zone == zone:
            return one
    raise UsageError(f"There is no zone '{zone}' on the checklist.")


def _point(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    after = desk.services.inspection.point_at(
        case.id,
        _PHOTOS[options.expected],
        by=by,
        photo_ids=[find_photo(case, name).id for name in options.photos],
        reason=options.none_because,
    )
    [one] = [
        one
        for one in desk.services.inspection.checklist(after).photos
        if one.expected is _PHOTOS[options.expected]
    ]
    return _say(options, desk, after, _photo_line(after, one).strip())


def _say(options: argparse.Namespace, desk: Desk, case: Case, line: str) -> int:
    if options.json:
        show(case)
        return 0
    print(line)
    print(unexplained_line(desk.services.inspection.unexplained(case)))
    return 0


COMMANDS = (
    Command(
        name="checklist",
        about="show the inspection checklist in walking order, and what is left to explain",
        arguments=_list_arguments,
        run=_list,
    ),
    Command(
        name="inspect-item",
        about="say what was seen of parts in one zone, or why they were not seen",
        arguments=_inspect_arguments,
        run=_inspect,
    ),
    Command(
        name="expected-photo",
        about="say which photos show what an insurer expects, or why there is none",
        arguments=_photo_arguments,
        run=_point,
    ),
)
