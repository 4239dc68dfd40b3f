"""Case <-> JSON. The text is canonical, so that its hash can stand for the case."""

from dataclasses import dataclass, fields
from typing import Any, ClassVar, Literal

from pydantic import ConfigDict, TypeAdapter, ValidationError

from triage_app.casefile import versions
from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.checks import faults_of
from triage_app.casefile.faults import path_text, sentence
from triage_app.domain.case import CASE_FORMAT, Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import Answer

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFile(Case):
    """A case as it stands in a file: the same fields, and the number of the format."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT
    format: Literal[1]


CASE_FILE: TypeAdapter[CaseFile] = TypeAdapter(CaseFile)
_FIELDS = tuple(field.name for field in fields(Case))
# Left out while empty: a case stored before there was such a field keeps its text and its hash.
_ADDED_LATER = (
    "evidence",
    "clocks",
    "photo_pairs",
    "safing",
    "admission",
    "inspection",
    "plan",
    "impact_line",
    "reviews",
)
_ADDED_LATER_TO_PHOTOS = ("orange_opinions", "camera", "plan_pin", "nothing_found")
# Signs that came to be asked later: not known is what an older case says of them anyway.
_ASKED_LATER = ("battery_leak", "broken_battery_mounts", "crushed_lifting_points")
_ADDED_LATER_TO_REPORTS = ("release",)


def case_to_json(case: Case) -> str:
    """Return the case as canonical JSON; equal cases give equal text."""
    return canonical_json(case_to_plain(case))


def case_to_plain(case: Case) -> dict[str, object]:
    """Return the case as what ``json`` can write: decimals as text, times as ISO 8601."""
    values = {name: getattr(case, name) for name in _FIELDS}
    plain: dict[str, Any] = CASE_FILE.dump_python(
        CaseFile(**values, format=CASE_FORMAT), mode="json"
    )
    plain["photos"] = [_without_empty(photo, _ADDED_LATER_TO_PHOTOS) for photo in plain["photos"]]
    plain["incident"] = {
        name: held
        for name, held in plain["incident"].items()
        if name not in _ASKED_LATER or held != Answer.UNKNOWN
    }
    plain["reports"] = [_without_empty(one, _ADDED_LATER_TO_REPORTS) for one in plain["reports"]]
    return _without_empty(plain, _ADDED_LATER)


def _without_empty(plain: dict[str, Any], names: tuple[str, ...]) -> dict[str, object]:
    return {name: held for name, held in plain.items() if held or name not in names}


def case_from_json(text: str) -> Case:
    """Return the case that a file holds.

    Raises InvalidInputError with one sentence that names the first fault, or that says that the
    file was made by a newer version.
    """
    case = parse_case(text)
    for path, problem in faults_of(case):
        raise InvalidInputError(f"The case file is wrong at '{path_text(path)}': {problem}")
    return case


def parse_case(text: str) -> Case:
    """Return the case without looking whether its parts fit together.

    For text that this program wrote itself: a case on record must open.
    """
    try:
        loaded = CASE_FILE.validate_json(text)
    except ValidationError as error:
        versions.refuse_other_format("The case file", text, CASE_FORMAT)
        raise InvalidInputError(sentence("The case file", text, error)) from error
    return Case(**{name: getattr(loaded, name) for name in _FIELDS})
