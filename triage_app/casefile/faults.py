"""What is wrong with a piece of JSON, as one sentence that names the place."""

import json
from collections.abc import Sequence

from pydantic import ValidationError
from pydantic_core import ErrorDetails

_OWN_WORDS = {
    "missing": "this field is missing",
    "unexpected_keyword_argument": "there is no such field",
    "extra_forbidden": "there is no such field",
}


def sentence(what: str, text: str, error: ValidationError) -> str:
    """Return e.g. "The case file is wrong at 'findings.2.number': input should be …"."""
    faults = error.errors(include_url=False, include_context=True)
    if faults[0]["type"] == "json_invalid":
        return f"{what} is not JSON: {_message(faults[0])}."
    try:
        given = json.loads(text)
    except (ValueError, RecursionError):
        given = None
    fault = _first(faults, given)
    path = path_text(_path(fault, given))
    return f"{what} is wrong at '{path}': {_message(fault)}."


def path_text(path: Sequence[str | int]) -> str:
    return ".".join(str(part) for part in path) or "the top"


def _first(faults: list[ErrorDetails], given: object) -> ErrorDetails:
    """Return the first fault; where a value may be one of several types, of the nearest type."""
    first = faults[0]
    branch_at = _branch_at(first["loc"], given)
    if branch_at is None:
        return first
    stem = first["loc"][:branch_at]
    branches: dict[int | str, list[ErrorDetails]] = {}
    for fault in faults:
        if fault["loc"][:branch_at] == stem and len(fault["loc"]) > branch_at:
            branches.setdefault(fault["loc"][branch_at], []).append(fault)
    return min(branches.values(), key=len)[0]


def _branch_at(path: Sequence[int | str], given: object) -> int | None:
    """Return where the path names a type rather than a place in what was given."""
    at = given
    for depth, part in enumerate(path):
        if _is_in(at, part):
            at = at[part]  # type: ignore[index]  # just looked
        elif depth < len(path) - 1 or not isinstance(at, dict):
            return depth
    return None


def _path(fault: ErrorDetails, given: object) -> list[int | str]:
    """Return the fault's place without the names of types that pydantic puts in between."""
    kept: list[int | str] = []
    at = given
    for part in fault["loc"]:
        if _is_in(at, part):
            kept.append(part)
            at = at[part]  # type: ignore[index]  # just looked
    if fault["type"] == "missing":
        kept.append(fault["loc"][-1])
    return kept


def _is_in(at: object, part: int | str) -> bool:
    if isinstance(at, list):
        return isinstance(part, int) and part < len(at)
    return isinstance(at, dict) and part in at


def _message(fault: ErrorDetails) -> str:
    if fault["type"] in _OWN_WORDS:
        return _OWN_WORDS[fault["type"]]
    cause = fault.get("ctx", {}).get("error")
    message = str(cause) if cause is not None else fault["msg"]
    message = message.rstrip(".")
    return message if message[1:2].isupper() else message[:1].lower() + message[1:]
