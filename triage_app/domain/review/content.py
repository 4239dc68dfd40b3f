"""Exactly what a reviewer signs, as canonical text: equal texts mean that nothing changed.

The finding with its marks, its photos by their hashes, what the rules say of it, and the rule book.
A photo is named by the hash of its original and by that of everything on record about it; the
words and sources of a rule stand under the hash of the book. What is empty is left out, so that a
field which a later version adds leaves earlier signatures valid.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum, StrEnum
from typing import Any, Final

from rules import Assessment, Reason, RulebookStamp
from triage_app.domain.case import Case, Finding, Photo

CONTENT_FORMAT: Final = 1


def content_of(case: Case, finding: Finding, answer: Assessment, stamp: RulebookStamp) -> str:
    """Return what somebody signs who reviews ``finding`` as it is now; canonical JSON."""
    photo_ids = dict.fromkeys(mark.photo_id for mark in finding.marks)
    return _canonical(
        {
            "format": CONTENT_FORMAT,
            "case": case.id,
            "finding": plain(finding),
            "photos": [_photo(case, case.photo(photo_id)) for photo_id in photo_ids],
            "assessment": _assessment(answer),
            "book": plain(stamp),
        }
    )


def plain(value: object) -> Any:  # what json.dumps takes has no narrower type
    """Return a domain value as JSON holds it: enums by name or word, empty fields left out."""
    if is_dataclass(value):
        held = {field.name: plain(getattr(value, field.name)) for field in fields(value)}
        return {name: item for name, item in held.items() if item not in (None, "", [], {})}
    if isinstance(value, Enum):
        return str(value) if isinstance(value, StrEnum) else value.name
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(name): plain(item) for name, item in value.items()}
    return value


def _photo(case: Case, photo: Photo) -> dict[str, object]:
    really = case.really_taken_at(photo)
    return {
        "id": photo.id,
        "sha256": photo.sha256,
        "taken_at": really.isoformat() if really else "not known",
        "on_record_sha256": hashlib.sha256(_canonical(plain(photo)).encode()).hexdigest(),
    }


def _assessment(answer: Assessment) -> dict[str, object]:
    said: dict[str, object] = {
        **plain(answer),
        "reasons": [_reason(reason) for reason in answer.reasons],
        "hv_reasons": [_reason(reason) for reason in answer.hv_reasons],
        "actions": [action.id for action in answer.actions],
        "open_tests": [test.id for test in answer.open_tests],
    }
    if answer.residual is not None:
        said["residual"] = {
            **plain(answer.residual),
            "reasons": [_reason(reason) for reason in answer.residual.reasons],
            "open_tests": [test.id for test in answer.residual.open_tests],
        }
    return said


def _reason(reason: Reason) -> dict[str, object]:
    return {
        "rule": reason.rule_id,
        "facts": list(reason.facts),
        "unmeasured": list(reason.unmeasured),
        "with_findings": list(reason.with_findings),
    }


def _canonical(value: object) -> str:
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
