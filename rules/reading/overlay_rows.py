"""The file of a shop: its sections, its rows by id, and what no text in it may say."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from rules.overlay import WORD_PREFIX
from rules.reading.rows import Row, list_of_rows
from rules.terms import RulebookError

MAX_BYTES = 1_000_000
MAX_TEXT = 600

# Section -> the field that names its rows.
SECTIONS: Mapping[str, str] = {
    "source": "id",
    "fact": "id",
    "component": "id",
    "component_names": "component",
    "near_hv_part": "component",
    "near_hv_zone": "zone",
    "damage_type": "id",
    "damage_names": "damage",
    "action": "id",
    "open_test": "id",
    "rule": "id",
    "stop_rule": "id",
    "stricter": "id",
    "stricter_evidence": "of",
    "example": "rule",
}
_THE_BOOKS_OWN = {
    "zone": "Zones",
    "risk": "The risk matrix",
    "consequence": "The risk matrix",
    "likelihood": "The risk matrix",
    "least": "The signal words",
    "meaning": "The signal words",
    "safing": "Mandatory safing",
    "book": "The book itself",
}
# "make-safe" names the work and stays. What claims that nothing can happen does not.
_CLAIM = re.compile(
    r"(?<!make-)(?<!make )\b(safe|safely|safer)\b|\bharmless\b"
    r"|\b(no|without) (danger|hazard|risk)\b",
    re.IGNORECASE,
)


class ShopFile:
    """A parsed overlay. Every fault names file, row and field in one line."""

    def __init__(self, name: str, content: bytes) -> None:
        self.name = name
        self._document = _parsed(name, content)
        self._refuse_sections()
        self._refuse_texts()

    @property
    def has_rows(self) -> bool:
        return any(section in self._document for section in SECTIONS)

    def header(self) -> Row:
        """Return the ``[overlay]`` table."""
        return Row(self.name, "overlay", {"overlay": self._document.get("overlay")}).table(
            "overlay"
        )

    def rows(self, section: str) -> list[Row]:
        """Return the rows of a section in the order of the file; none if it has no such rows."""
        if section not in self._document:
            return []
        return list_of_rows(self.name, self._document, section, SECTIONS[section])

    def _refuse_sections(self) -> None:
        if not isinstance(self._document.get("overlay"), dict):
            raise RulebookError(f"{self.name}, overlay: needs its name, revision and owner.")
        for section in self._document:
            if section in _THE_BOOKS_OWN:
                whose = _THE_BOOKS_OWN[section]
                raise RulebookError(f"{self.name}, {section}: {whose} cannot be changed by a shop.")
            if section != "overlay" and section not in SECTIONS:
                raise RulebookError(
                    f"{self.name}, {section}: a shop's file holds only {', '.join(SECTIONS)}."
                )

    def _refuse_texts(self) -> None:
        for section, content in self._document.items():
            for row, field, text in _texts(section, content):
                problem = _problem_of(text)
                if problem:
                    raise RulebookError(f"{self.name}, {row}, {field}: {problem}")


def shop_word(row: Row) -> str:
    """Return the id of a word of the shop's own; a fault for one of ours, or one not so marked."""
    word = row.text("id")
    if not re.fullmatch(rf"{WORD_PREFIX}[a-z0-9_]{{2,40}}", word):
        raise row.fault(
            "id",
            f"must be small letters, digits and _ after '{WORD_PREFIX}', got '{word}'. Nothing of "
            "the book is ever overwritten.",
        )
    return word


def _parsed(name: str, content: bytes) -> Mapping[str, object]:
    if len(content) > MAX_BYTES:
        raise RulebookError(f"{name}: is larger than {MAX_BYTES} bytes.")
    try:
        return tomllib.loads(content.decode("utf-8"))
    except RecursionError as error:
        raise RulebookError(f"{name}: is nested too deeply.") from error
    except ValueError as error:
        # What is no UTF-8, no TOML, or a number or date that no one can mean.
        raise RulebookError(f"{name}: is not valid TOML in UTF-8: {error}") from error


def _texts(section: str, content: object) -> Iterator[tuple[str, str, str]]:
    """Yield row, field and text of everything that somebody wrote in a section."""
    rows = content if isinstance(content, list) else [content]
    for number, fields in enumerate(rows, start=1):
        if not isinstance(fields, dict):
            continue
        named = fields.get(SECTIONS.get(section, ""))
        row = named if isinstance(named, str) else f"{section} {number}"
        for field, value in fields.items():
            yield from ((row, field, text) for text in _flat(value))


def _flat(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _flat(item)
    elif isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from _flat(item)


def _problem_of(text: str) -> str:
    if len(text) > MAX_TEXT:
        return f"is longer than {MAX_TEXT} letters."
    if not text.isprintable():
        return "must be plain text on one line."
    claim = _CLAIM.search(text)
    if claim:
        return f"says '{claim.group()}'; the rules never say that of a vehicle, a part or a work."
    return ""


def read_file(path: Path) -> bytes:
    """Return the file, its line ends as one; RulebookError if there is none to read."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise RulebookError(f"{path.name}: is larger than {MAX_BYTES} bytes.")
        if not path.is_file():
            raise RulebookError(f"The shop's rules '{path}' cannot be read: that is not a file.")
        return path.read_bytes().replace(b"\r\n", b"\n")
    except OSError as error:
        why = error.strerror or "the system refused"
        raise RulebookError(f"The shop's rules '{path}' cannot be read: {why}.") from error
