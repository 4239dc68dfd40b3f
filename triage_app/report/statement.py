"""What a report states, as plain names and values: kept inside the file, and compared by the next.

Both sides of a comparison are words that a reader of the two reports can find there. The file of a
released report is kept under its hash, and so is its statement with it.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from triage_app.domain.errors import InvalidInputError

STATEMENT_FORMAT: Final = 1


class Topic(StrEnum):
    """What an item is about, in the order in which changes are listed."""

    FINDING = "finding"
    RECORD = "record"
    DECISION = "price range and decision"
    PRICE = "price"
    CASE = "the case as a whole"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing that a report states. ``id`` stays the same from report to report.

    ``withdrawn`` says why and by whom it no longer counts, or is empty. ``facts`` are names and
    values; a name occurs once.
    """

    topic: Topic
    id: str
    title: str
    withdrawn: str = ""
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """All that one report states. ``case_sha256`` is the hash of the case as canonical JSON."""

    case_id: str
    case_revision: int
    case_sha256: str
    items: tuple[Item, ...]


def statement_to_json(statement: Statement) -> str:
    """Return the statement as JSON in ASCII: the same statement gives the same text."""
    plain = {
        "format": STATEMENT_FORMAT,
        "case_id": statement.case_id,
        "case_revision": statement.case_revision,
        "case_sha256": statement.case_sha256,
        "items": [
            {
                "topic": item.topic.value,
                "id": item.id,
                "title": item.title,
                "withdrawn": item.withdrawn,
                "facts": [list(fact) for fact in item.facts],
            }
            for item in statement.items
        ],
    }
    return json.dumps(plain, separators=(",", ":"), ensure_ascii=True)


def statement_from_json(text: str) -> Statement:
    """Return the statement that a report holds; InvalidInputError where it cannot be read."""
    try:
        plain: Mapping[str, Any] = json.loads(text)
        if plain["format"] != STATEMENT_FORMAT:
            raise InvalidInputError("The earlier report was made by a newer version.")
        return Statement(
            case_id=str(plain["case_id"]),
            case_revision=int(plain["case_revision"]),
            case_sha256=str(plain["case_sha256"]),
            items=tuple(_item(one) for one in plain["items"]),
        )
    except (ValueError, KeyError, TypeError) as error:
        raise InvalidInputError("What the earlier report states cannot be read.") from error


def _item(plain: Mapping[str, Any]) -> Item:
    return Item(
        topic=Topic(plain["topic"]),
        id=str(plain["id"]),
        title=str(plain["title"]),
        withdrawn=str(plain["withdrawn"]),
        facts=tuple((str(name), str(value)) for name, value in plain["facts"]),
    )
