"""add-photo, inspect: photo files in, or only looked at."""

import argparse
from pathlib import Path

from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import PhotoReadingsDocument, show
from triage_app.cli.files import read_file
from triage_app.cli.inspection import Inspected, inspect_photo
from triage_app.cli.words import printable
from triage_app.domain.errors import InvalidInputError, PhotoRejectedError
from triage_app.domain.ids import CaseId
from triage_app.domain.scale import DESIGN_SIDE_MM, CardKind
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.intake import MAX_PHOTO_BYTES, PhotoAnswer, PhotoOutcome


def photo_line(outcome: PhotoOutcome) -> str:
    """Return the answer to one file as one line, with what its quality asks for."""
    if outcome.photo is None:
        return printable(f"{outcome.file_name}: refused because: {outcome.reason}")
    known = " of " + outcome.photo.file_name if outcome.answer is PhotoAnswer.DUPLICATE else ""
    line = f"{outcome.file_name}: {outcome.answer.value}{known}, photo {outcome.photo.id}"
    return " ".join([line + ".", *outcome.photo.quality.complaints])


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("photo", metavar="FILE", type=Path, nargs="+", help="photo files")


def _add(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    refused = []
    for path in options.photo:
        outcome = _take_in(desk.services, case.id, path, by)
        print(photo_line(outcome), flush=True)
        if outcome.answer is PhotoAnswer.REFUSED:
            refused.append(outcome)
    if refused:
        raise PhotoRejectedError(_refusals(refused, len(options.photo)))
    return 0


def _take_in(services: Services, case_id: CaseId, path: Path, by: Operator) -> PhotoOutcome:
    try:
        data = read_file(path, at_most_bytes=MAX_PHOTO_BYTES)
    except InvalidInputError as error:
        # The other files are still taken in: one answer for each.
        return PhotoOutcome(file_name=path.name, answer=PhotoAnswer.REFUSED, reason=str(error))
    return services.intake.add_photo(case_id, data, file_name=path.name, by=by)


def _refusals(refused: list[PhotoOutcome], of: int) -> str:
    first = refused[0]
    if of == 1:
        return f"'{first.file_name}' was refused: {first.reason}"
    return (
        f"{len(refused)} of {of} files were refused; the others are stored. "
        f"The first: '{first.file_name}': {first.reason}"
    )


def _inspect_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("photo", metavar="PHOTO", type=Path, nargs="+", help="photo files")
    parser.add_argument(
        "--json", action="store_true", help="print as JSON (it always does; for symmetry)"
    )
    for kind, design_mm in DESIGN_SIDE_MM.items():
        parser.add_argument(
            f"--{kind}-mm",
            metavar="MM",
            type=float,
            help=f"black square of the printed {kind} card as measured (about {design_mm:g})",
        )


def _inspect(options: argparse.Namespace, desk: Desk) -> int:  # noqa: ARG001 - needs no store
    typed_mm = {kind: getattr(options, f"{kind}_mm") for kind in CardKind}
    sides_mm = {kind: side_mm for kind, side_mm in typed_mm.items() if side_mm is not None}
    looked_at = [_look_at(path, sides_mm) for path in options.photo]
    show(PhotoReadingsDocument(photos=tuple(looked_at)))
    refused = [each for each in looked_at if each.reading is None]
    if refused:
        raise PhotoRejectedError(
            f"{len(refused)} of {len(looked_at)} files cannot be used. "
            f"The first: '{refused[0].file}': {refused[0].refused_because}"
        )
    return 0


def _look_at(path: Path, sides_mm: dict[CardKind, float]) -> Inspected:
    try:
        data = read_file(path, at_most_bytes=MAX_PHOTO_BYTES)
        return inspect_photo(path.name, data, sides_mm=sides_mm)
    except (InvalidInputError, PhotoRejectedError) as error:
        return Inspected(file=path.name, reading=None, refused_because=str(error))


COMMANDS = (
    Command(
        name="add-photo",
        about="take photo files into a case; each is answered on its own",
        arguments=_add_arguments,
        run=_add,
    ),
    Command(
        name="inspect",
        about="print size, orientation, quality, scale and orange areas of photo files",
        arguments=_inspect_arguments,
        run=_inspect,
    ),
)
