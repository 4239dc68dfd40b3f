"""Tell a file of another format from one that is merely wrong."""

import json

from triage_app.domain.errors import InvalidInputError


def refuse_other_format(what: str, text: str, known: int) -> None:
    """Raise InvalidInputError if ``text`` states another format number than ``known``."""
    try:
        given = json.loads(text)
    except (ValueError, RecursionError):
        return
    number = given.get("format") if isinstance(given, dict) else None
    if not isinstance(number, int) or isinstance(number, bool) or number == known:
        return
    if number > known:
        raise InvalidInputError(
            f"{what} was made by a newer version of this program (format {number}; this version "
            f"reads format {known}). Update the program and try again."
        )
    raise InvalidInputError(f"{what} has format {number}, which this program does not know.")
