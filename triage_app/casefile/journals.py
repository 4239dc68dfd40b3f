"""Journal <-> JSON. ``detail`` stays the text that was hashed, so that anyone can check it."""

from dataclasses import dataclass
from typing import ClassVar, Final, Literal

from pydantic import ConfigDict, TypeAdapter, ValidationError

from triage_app.casefile import versions
from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.cases import STRICT
from triage_app.casefile.faults import sentence
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.journal import JournalEntry

JOURNAL_FORMAT: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalFile:
    """All entries of one case, in order."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT
    format: Literal[1]
    entries: tuple[JournalEntry, ...]


JOURNAL_FILE: TypeAdapter[JournalFile] = TypeAdapter(JournalFile)


def journal_to_json(entries: list[JournalEntry]) -> str:
    """Return the entries as canonical JSON."""
    held = JournalFile(format=JOURNAL_FORMAT, entries=tuple(entries))
    return canonical_json(JOURNAL_FILE.dump_python(held, mode="json"))


def journal_from_json(text: str) -> list[JournalEntry]:
    """Return the entries; whether their chain is whole is ``domain.journal``'s to say.

    Raises InvalidInputError with one sentence that names the first fault.
    """
    try:
        return list(JOURNAL_FILE.validate_json(text).entries)
    except ValidationError as error:
        versions.refuse_other_format("The journal", text, JOURNAL_FORMAT)
        raise InvalidInputError(sentence("The journal", text, error)) from error
