"""mark: draw around a damage on a photo and say what it is."""

import argparse

from rules import ComponentId, DamageId, HvFlag, Side, ZoneId
from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.documents import show
from triage_app.cli.finders import finding_numbered
from triage_app.cli.words import HV_NOTICE, finding_line, hv_reason_lines
from triage_app.domain.case import Case, Measures, Photo, Tags
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.geometry import Ellipse, Outline, Point, polygon, rectangle
from triage_app.domain.vehicle import Answer

_YES_NO = {Answer.YES.value: True, Answer.NO.value: False, Answer.UNKNOWN.value: None}
_MEASURED_IN_MM = {
    "--depth-mm": "depth of the damage",
    "--length-mm": "length of the damage",
    "--width-mm": "width of the damage",
    "--distance-mm": "shortest distance to the nearest HV part",
    "--uncertainty-mm": "half-width of the 95 %% interval of that distance",
}


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "photo",
        metavar="PHOTO",
        nargs="?",
        help="photo id, file name, or position from 1; left out for a damage no photo shows",
    )
    shape = parser.add_argument_group(
        "outline, one where PHOTO is given; fractions 0 to 1 of the upright photo"
    ).add_mutually_exclusive_group()
    shape.add_argument(
        "--outline", metavar="X,Y", nargs="+", type=numbers(2), help="polygon of 3 or more points"
    )
    shape.add_argument("--box", metavar="X1,Y1,X2,Y2", type=numbers(4), help="rectangle")
    shape.add_argument(
        "--ellipse",
        metavar="X,Y,RX,RY[,ANGLE]",
        type=numbers(4, 5),
        help="centre in fractions, radii in pixels of the upright photo, angle in degrees",
    )
    tags = parser.add_argument_group("tags (what is left out is not known and counts as worse)")
    tags.add_argument("--component", metavar="ID", help="see: underbody check-rules --list")
    tags.add_argument("--damage", metavar="ID", help="damage type, from the same list")
    tags.add_argument("--zone", metavar="ID", help="zone, from the same list")
    tags.add_argument("--side", choices=[each.value for each in Side], help="as the driver sees it")
    for option, about in _MEASURED_IN_MM.items():
        tags.add_argument(option, metavar="MM", type=float, help=about)
    tags.add_argument("--measured-how", metavar="TEXT", help="how and with what")
    for option, about in (
        ("--covers-off", "shields off when the distance was measured"),
        ("--hv-conductor-visible", "an HV conductor is to be seen"),
        ("--hangs-free", "a severed cable hangs free"),
    ):
        tags.add_argument(option, choices=list(_YES_NO), help=about)
    tags.add_argument("--note", metavar="TEXT", help="anything else")
    parser.add_argument(
        "--finding", metavar="N", type=int, help="a further view of finding N; its tags stay"
    )
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _mark(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    tags = _tags(options)
    outline = _outline(options)
    _check_usage(options, tags, outline)
    case = desk.case(options.case)
    known = None if options.finding is None else finding_numbered(case, options.finding)
    if outline is None:
        marked = desk.services.marking.add_finding(case.id, tags, by=by)
    else:
        marked = desk.services.marking.mark(
            case.id,
            find_photo(case, options.photo).id,
            outline,
            by=by,
            finding_id=known.id if known else None,
            tags=None if known else tags,
        ).case
    if options.json:
        show(marked)
        return 0
    finding = finding_numbered(marked, known.number if known else _last_number(marked))
    assessment = desk.services.triage.assess_case(marked).of(finding.id)
    if assessment.hv_flag is not HvFlag.NONE:
        print(HV_NOTICE)
    print(finding_line(finding, assessment, desk.rulebook))
    for line in hv_reason_lines(assessment):
        print(line)
    return 0


def _check_usage(options: argparse.Namespace, tags: Tags, outline: Outline | None) -> None:
    if (options.photo is None) != (outline is None):
        raise UsageError("Give PHOTO and one of --outline, --box, --ellipse; or neither.")
    if options.finding is None:
        return
    if outline is None:
        raise UsageError("With --finding give PHOTO and an outline.")
    if tags != Tags():
        raise UsageError("With --finding the finding keeps its tags; leave the tag options out.")


def _last_number(case: Case) -> int:
    return max(finding.number for finding in case.findings)


def find_photo(case: Case, text: str) -> Photo:
    """Return the photo with this id, file name or position from 1; raises NotFoundError."""
    by_id = [photo for photo in case.photos if photo.id == text]
    by_name = [photo for photo in case.photos if photo.file_name == text]
    found = by_id or by_name
    if len(found) > 1:
        raise InvalidInputError(
            f"Case {case.reference} has {len(found)} photos called '{text}'; name its id, from "
            f"the list in: underbody show {case.reference}"
        )
    if not found and text.isdecimal() and 1 <= int(text) <= len(case.photos):
        return case.photos[int(text) - 1]
    if not found:
        raise NotFoundError(f"Case {case.reference} has no photo '{text}'.")
    return found[0]


def _tags(options: argparse.Namespace) -> Tags:
    return Tags(
        component=None if options.component is None else ComponentId(options.component),
        damage=None if options.damage is None else DamageId(options.damage),
        zone=None if options.zone is None else ZoneId(options.zone),
        side=None if options.side is None else Side(options.side),
        measures=Measures(
            length_mm=options.length_mm,
            width_mm=options.width_mm,
            depth_mm=options.depth_mm,
            distance_to_hv_mm=options.distance_mm,
            distance_uncertainty_mm=options.uncertainty_mm,
            covers_off=_YES_NO.get(options.covers_off),
            measured_how=options.measured_how or "",
        ),
        hv_conductor_visible=_YES_NO.get(options.hv_conductor_visible),
        hangs_free=_YES_NO.get(options.hangs_free),
        note=options.note or "",
    )


def _outline(options: argparse.Namespace) -> Outline | None:
    if options.outline is not None:
        return polygon(options.outline)
    if options.box is not None:
        return rectangle(*options.box)
    if options.ellipse is None:
        return None
    x, y, radius_x_px, radius_y_px, *angle = options.ellipse
    return Ellipse(
        centre=Point(x, y),
        radius_x_px=radius_x_px,
        radius_y_px=radius_y_px,
        angle_deg=angle[0] if angle else 0.0,
    )


class numbers:  # noqa: N801 - used like a function; a class, so that argparse can show its name
    """Read ``0.1,0.2`` as so many numbers."""

    def __init__(self, *counts: int) -> None:
        self._counts = counts
        self.__name__ = f"list of {' or '.join(map(str, counts))} numbers"

    def __call__(self, text: str) -> tuple[float, ...]:
        read = tuple(float(part) for part in text.split(","))
        if len(read) not in self._counts:
            raise ValueError(text)
        return read


COMMANDS = (
    Command(
        name="mark",
        about="draw around a damage on a photo and say what it is",
        arguments=_arguments,
        run=_mark,
    ),
)
