"""What the program found out, as JSON for other programs. Levels go by name, never by number.

A number would mislead: the worst consequence is 1 and the worst risk is 4.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import IntEnum


def plain_fields(value: object) -> dict[str, object]:
    """Return the fields of a dataclass as what ``json`` can write."""
    if not is_dataclass(value):
        raise TypeError(value)
    return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}


def _plain(value: object) -> object:
    if isinstance(value, IntEnum):
        return value.name.lower()
    if is_dataclass(value):
        return plain_fields(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(held) for key, held in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_plain(held) for held in value]
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value
