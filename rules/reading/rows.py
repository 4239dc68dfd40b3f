"""Reading one row of a table strictly: each field once, the right kind, and none left over."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import TypeVar

from rules.terms import RulebookError

_T = TypeVar("_T")
_E = TypeVar("_E", bound=StrEnum)


class Row:
    """A table row under reading. ``finish`` refuses whatever nobody asked for."""

    def __init__(self, file: str, name: str, fields: Mapping[str, object]) -> None:
        self.file = file
        self.name = name
        self._fields = fields
        self._read: set[str] = set()

    def fault(self, field: str, problem: str) -> RulebookError:
        """Return the error that names file, row and field."""
        return RulebookError(f"{self.file}, {self.name}, {field}: {problem}")

    def has(self, field: str) -> bool:
        return field in self._fields

    def take(self, field: str) -> object:
        """Return the raw value; RulebookError if it is missing."""
        self._read.add(field)
        if field not in self._fields:
            raise self.fault(field, "is missing.")
        return self._fields[field]

    def text(self, field: str) -> str:
        value = self.take(field)
        if not isinstance(value, str) or not value.strip():
            raise self.fault(field, f"must be a text, got {value!r}.")
        return value

    def number(self, field: str) -> float:
        value = self.take(field)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(field, f"must be a number, got {value!r}.")
        if not 0 <= value < 1e9:
            raise self.fault(field, f"must be 0 or more and finite, got {value!r}.")
        return float(value)

    def whole(self, field: str) -> int:
        value = self.number(field)
        if value != int(value):
            raise self.fault(field, f"must be a whole number, got {value!r}.")
        return int(value)

    def flag(self, field: str) -> bool:
        value = self.take(field)
        if not isinstance(value, bool):
            raise self.fault(field, f"must be true or false, got {value!r}.")
        return value

    def texts(self, field: str, *, optional: bool = False) -> tuple[str, ...]:
        if optional and not self.has(field):
            return ()
        value = self.take(field)
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.fault(field, f"must be a list of texts, got {value!r}.")
        if len(set(value)) != len(value):
            raise self.fault(field, "names something twice.")
        return tuple(value)

    def some(self, field: str) -> tuple[str, ...]:
        """Return a list of texts that is not empty."""
        values = self.texts(field)
        if not values:
            raise self.fault(field, "must name at least one.")
        return values

    def pick(self, field: str, choices: Mapping[str, _T]) -> _T:
        """Return what the word in ``field`` stands for."""
        word = self.text(field)
        if word not in choices:
            raise self.fault(field, f"knows no '{word}'; one of: {', '.join(choices)}.")
        return choices[word]

    def word(self, field: str, words: type[_E]) -> _E:
        """Return the member of ``words`` whose value stands in ``field``."""
        return self.pick(field, {word.value: word for word in words})

    def known(self, field: str, names: Iterable[str], known: Iterable[str]) -> None:
        """Refuse a name that the book does not have."""
        for name in sorted(set(names) - set(known)):
            raise self.fault(field, f"the book has no '{name}'.")

    def table(self, field: str) -> "Row":
        """Return an inner table as a row of its own, which must be finished too."""
        value = self.take(field)
        if not isinstance(value, dict):
            raise self.fault(field, f"must be a table in braces, got {value!r}.")
        return Row(self.file, f"{self.name}, {field}", value)

    def tables(self, field: str) -> tuple["Row", ...]:
        value = self.take(field)
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise self.fault(field, f"must be a list of tables, got {value!r}.")
        return tuple(
            Row(self.file, f"{self.name}, {field} {number}", item)
            for number, item in enumerate(value, start=1)
        )

    def one_or_more_tables(self, field: str) -> tuple["Row", ...]:
        """Return an inner table, or each of a list of them, as rows of their own."""
        is_list = isinstance(self._fields.get(field), list)
        return self.tables(field) if is_list else (self.table(field),)

    def finish(self) -> None:
        """Refuse any field that was not read; a misspelt field must never pass silently."""
        for field in self._fields:
            if field not in self._read:
                raise self.fault(field, f"is not a field of this table.{self._unit_hint(field)}")

    def _unit_hint(self, field: str) -> str:
        measured = ("depth", "length", "width", "hv_within", "voltage", "distance")
        lacks_unit = "_mm" not in field and "_v" not in field.removeprefix("hv_within")
        return " Its unit is missing." if field.startswith(measured) and lacks_unit else ""


def rows_of(file: str, document: Mapping[str, object], key: str, row_id: str) -> list[Row]:
    """Return the rows ``[[key]]`` of a document, each named by its ``row_id`` field."""
    for other in document:
        if other != key:
            raise RulebookError(f"{file}, {other}: this file holds only [[{key}]] rows.")
    return list_of_rows(file, document, key, row_id)


def list_of_rows(file: str, document: Mapping[str, object], key: str, row_id: str) -> list[Row]:
    """Return the rows ``[[key]]``, refusing a missing list, a missing id and a repeated id."""
    found = document.get(key)
    if not isinstance(found, list) or not found:
        raise RulebookError(f"{file}: has no [[{key}]] rows.")
    rows: dict[str, Row] = {}
    for number, fields in enumerate(found, start=1):
        if not isinstance(fields, dict):
            raise RulebookError(f"{file}, {key} {number}: must be a [[{key}]] row.")
        row = Row(file, f"{key} {number}", fields)
        name = row.text(row_id)
        row.name = name
        if name in rows:
            raise row.fault(row_id, f"'{name}' is there twice; ids are never used again.")
        rows[name] = row
    return list(rows.values())
