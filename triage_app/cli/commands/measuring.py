"""card, lens, scale, measure: printed cards, calibrated lenses, sizes from photos."""

import argparse
from pathlib import Path

from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.commands.marking import find_photo, numbers
from triage_app.cli.files import check_writable, read_file, write_file
from triage_app.cli.finders import finding_numbered
from triage_app.cli.words import printable
from triage_app.domain.case import Case, Finding, Mark, Photo
from triage_app.domain.errors import InvalidInputError, NoScaleError, TriageError
from triage_app.domain.geometry import Outline, Point
from triage_app.domain.measuring import (
    ID_1_MM,
    KnownDistance,
    KnownRectangle,
    MeasuredMm,
    MeasuredMm2,
    Reference,
    Size,
)
from triage_app.domain.scale import DESIGN_SIDE_MM, CardKind
from triage_app.imaging.card_sheet import PAPER_MM, board_pdf, card_pdf
from triage_app.imaging.plane_sizes import Depth
from triage_app.services.intake import MAX_PHOTO_BYTES
from triage_app.services.measuring import MarkSizes

LAY_LATER = (
    "Cards are laid only after the make-safe record stands; they are not conductive. The vehicle "
    "maker's procedure comes first."
)
_USE = {"length": Size.LENGTH, "width": Size.WIDTH, "distance": Size.DISTANCE_TO_HV}


def _card_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("-o", "--output", metavar="CARD.pdf", type=Path, help="sheet to write")
    parser.add_argument(
        "--paper", choices=list(PAPER_MM), help="paper; else that of the report's setting"
    )
    parser.add_argument(
        "--board", action="store_true", help="write the board for calibrating a lens instead"
    )
    for kind, design_mm in DESIGN_SIDE_MM.items():
        parser.add_argument(
            f"--{kind}-mm",
            metavar="MM",
            type=float,
            help=f"black square of the printed {kind} card as measured (about {design_mm:g})",
        )


def _card(options: argparse.Namespace, desk: Desk) -> int:
    sides = {kind: getattr(options, f"{kind}_mm") for kind in CardKind}
    measured = {kind: side_mm for kind, side_mm in sides.items() if side_mm is not None}
    if options.output is None and not measured:
        raise UsageError("Give -o CARD.pdf to print cards, or what the printed ones measure.")
    if options.output is not None:
        check_writable(options.output)
        paper = options.paper or desk.settings.page_size.value
        write_file(options.output, (board_pdf if options.board else card_pdf)(paper))
        print(f"Written to {options.output}. Print it at 100 % on {paper} paper. {LAY_LATER}")
    for kind, side_mm in measured.items():
        side = desk.services.scale_records.record_card_side(kind, side_mm, by=desk.operator)
        print(f"Black square of the {kind} card: {side.side_mm:g} mm, on record.")
    return 0


def _lens_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "photo", metavar="PHOTO", type=Path, nargs="*", help="photos of the board; none lists all"
    )


def _lens(options: argparse.Namespace, desk: Desk) -> int:
    if options.photo:
        by = desk.operator
        files = [read_file(path, at_most_bytes=MAX_PHOTO_BYTES) for path in options.photo]
        desk.services.scale_records.calibrate_lens(files, by=by)
    for lens in desk.services.scale_records.lenses():
        print(
            printable(
                f"{lens.camera}: focal length {lens.focal_frac:.3f} of the longer side, k1 "
                f"{lens.k1:+.4f}, k2 {lens.k2:+.4f}, corners missed by {lens.miss_px:.2f} pixels, "
                f"{lens.photo_count} photos."
            )
        )
    return 0


def _scale_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("photo", metavar="PHOTO", help="photo id, file name, or position from 1")
    known = parser.add_mutually_exclusive_group(required=True)
    known.add_argument(
        "--corners",
        metavar="X,Y",
        nargs=4,
        type=numbers(2),
        help="four corners of a flat rectangle, in order around it, in fractions 0 to 1",
    )
    known.add_argument(
        "--ends", metavar="X,Y", nargs=2, type=numbers(2), help="two points of known distance"
    )
    known.add_argument("--none", action="store_true", help="take the known thing back")
    parser.add_argument(
        "--size",
        metavar="MM,MM",
        type=numbers(2),
        help="sides of the rectangle; first to second corner comes first (else: ID-1 card)",
    )
    parser.add_argument("--length-mm", metavar="MM", type=float, help="the known distance")
    parser.add_argument("--what", metavar="TEXT", default="", help="what the known thing is")


def _scale(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    reference = _reference(options)
    case = desk.case(options.case)
    photo = find_photo(case, options.photo)
    changed = desk.services.measuring.set_reference(case.id, photo.id, reference, by=by)
    if reference is None:
        print("Taken back; only scale cards count now.")
        return 0
    plane = desk.services.measuring.plane_of(changed.photo(photo.id))
    print(" ".join([f"Scale: {printable(plane.scale)}.", *plane.cautions]))
    return 0


def _reference(options: argparse.Namespace) -> Reference | None:
    if options.none:
        return None
    if options.ends:
        if options.length_mm is None:
            raise UsageError("With --ends give --length-mm, the known distance.")
        one, other = (Point(*each) for each in options.ends)
        return KnownDistance(ends=(one, other), length_mm=options.length_mm, what=options.what)
    first_mm, second_mm = options.size or ID_1_MM
    one, two, three, four = (Point(*each) for each in options.corners)
    what = options.what or ("" if options.size else "ID-1 card (ISO/IEC 7810)")
    return KnownRectangle(
        corners=(one, two, three, four), first_mm=first_mm, second_mm=second_mm, what=what
    )


def _measure_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("finding", metavar="FINDING", type=int, help="number of the finding")
    parser.add_argument(
        "--behind-mm",
        metavar="MM",
        type=float,
        default=None,
        help="how far the damage may lie behind the plane of the card; 0 on the same surface",
    )
    parser.add_argument(
        "--before-mm", metavar="MM", type=float, default=0.0, help="how far before it (0)"
    )
    parser.add_argument(
        "--hv-within-mm",
        metavar="MM",
        type=float,
        help="damage and HV part both lie within this depth of the plane; gives a distance to HV",
    )
    parser.add_argument(
        "--hv-finding", metavar="N", type=int, help="the HV part is outlined by finding N"
    )
    parser.add_argument(
        "--to", metavar="N", type=int, help="print the distance to finding N on the same photo"
    )
    parser.add_argument(
        "--use", nargs="+", choices=list(_USE), default=[], help="put these sizes on the finding"
    )
    parser.add_argument(
        "--replace-typed", action="store_true", help="with --use: also where a size was typed"
    )


def _measure(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    finding = finding_numbered(case, options.finding)
    if not finding.marks:
        raise InvalidInputError(f"Finding {finding.number} has no mark to measure.")
    by = desk.operator if options.use else None
    if options.use and options.behind_mm is None:
        raise UsageError(
            "With --use say --behind-mm, how far it may lie behind the card (0: none)."
        )
    depth = Depth(behind_mm=options.behind_mm or 0.0, before_mm=options.before_mm)
    photo, measured = _first_measured(options, desk, case, finding, depth)
    _show(case, photo, measured)
    if options.to is not None:
        other = _mark_on(finding_numbered(case, options.to), photo)
        way = desk.services.measuring.between(photo, measured.mark, other, depth=depth)
        print(f"  distance to finding {options.to}: {words_mm(way)}")
    if by is not None:
        desk.services.measuring.use_sizes(
            case.id,
            finding.id,
            measured,
            [_USE[name] for name in options.use],
            expected_revision=finding.revision,
            by=by,
            replace_typed=options.replace_typed,
        )
        print(f"On record with finding {finding.number}: {', '.join(options.use)}.")
    return 0


def _first_measured(
    options: argparse.Namespace, desk: Desk, case: Case, finding: Finding, depth: Depth
) -> tuple[Photo, MarkSizes]:
    """Return the first mark that a scale measures; raises what the last one refused with."""
    hv_mm = options.hv_within_mm
    refused: TriageError = NoScaleError(f"Finding {finding.number} has no mark on a photo.")
    for mark in finding.marks:
        photo = case.photo(mark.photo_id)
        try:
            return photo, desk.services.measuring.sizes_of(
                photo,
                mark,
                depth=depth,
                hv=_hv_outline(options, case, photo),
                hv_depth=None if hv_mm is None else Depth(behind_mm=hv_mm, before_mm=hv_mm),
            )
        except NoScaleError as error:
            refused = error
    raise refused


def _hv_outline(options: argparse.Namespace, case: Case, photo: Photo) -> Outline | None:
    if options.hv_finding is None:
        return None
    return _mark_on(finding_numbered(case, options.hv_finding), photo).outline


def _mark_on(finding: Finding, photo: Photo) -> Mark:
    for mark in finding.marks:
        if mark.photo_id == photo.id:
            return mark
    raise NoScaleError(f"Finding {finding.number} has no mark on photo '{photo.file_name}'.")


def _show(case: Case, photo: Photo, measured: MarkSizes) -> None:
    number = [each.id for each in case.photos].index(photo.id) + 1
    print(printable(f"Photo {number}, {measured.scale}. All 95 %, in the plane of the scale."))
    for caution in measured.cautions:
        print(f"  NOTICE: {caution}")
    print(f"  length: {words_mm(measured.sizes.length)}")
    print(f"  width: {words_mm(measured.sizes.width)}")
    print(f"  area: {words_mm2(measured.sizes.area)}")
    if measured.near_hv is None:
        print("  distance to HV: not measured, so it counts as near")
    else:
        print(f"  distance to that HV part: {words_mm(measured.near_hv)}; the near end counts")


def words_mm(way: MeasuredMm) -> str:
    """Return a length with its standard uncertainty and interval."""
    return (
        f"{way.value_mm:.1f} mm (standard uncertainty {way.standard_mm:.1f}; from "
        f"{way.low_mm:.1f} to {way.high_mm:.1f} mm)"
    )


def words_mm2(area: MeasuredMm2) -> str:
    """Return an area in cm² with its standard uncertainty and interval."""
    return (
        f"{area.value_mm2 / 100:.1f} cm² (standard uncertainty {area.standard_mm2 / 100:.1f}; from "
        f"{area.low_mm2 / 100:.1f} to {area.high_mm2 / 100:.1f} cm²)"
    )


COMMANDS = (
    Command(
        name="card",
        about="write the printable scale cards, or put on record what the printed ones measure",
        arguments=_card_arguments,
        run=_card,
    ),
    Command(
        name="lens",
        about="calibrate a phone's lens from photos of the printed board, or list the lenses",
        arguments=_lens_arguments,
        run=_lens,
    ),
    Command(
        name="scale",
        about="point at a rectangle or distance of known size on a photo without a card",
        arguments=_scale_arguments,
        run=_scale,
    ),
    Command(
        name="measure",
        about="measure a finding's mark on a photo with a scale, and put sizes on it if told",
        arguments=_measure_arguments,
        run=_measure,
    ),
)
