"""A journal as JSON keeps each entry as it was hashed."""

import json

import pytest

from tests.builders import SIGNED
from triage_app.casefile.journals import journal_from_json, journal_to_json
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import CaseId
from triage_app.domain.journal import JournalEntry

ENTRY = JournalEntry(
    case_id=CaseId("case-1"),
    sequence=1,
    signed=SIGNED,
    kind="case opened",
    detail='{"command":"é"}',
    case_sha256="ab" * 32,
    previous_hash="0" * 64,
    entry_hash="cd" * 32,
)


def test_a_journal_comes_back_as_it_went() -> None:
    assert journal_from_json(journal_to_json([ENTRY, ENTRY])) == [ENTRY, ENTRY]
    assert journal_from_json(journal_to_json([])) == []


def test_what_is_wrong_is_named() -> None:
    plain = json.loads(journal_to_json([ENTRY]))
    plain["entries"][0]["sequence"] = "1"
    with pytest.raises(InvalidInputError, match=r"'entries\.0\.sequence': input should be a valid"):
        journal_from_json(json.dumps(plain))


def test_a_newer_format_says_so() -> None:
    plain = json.loads(journal_to_json([ENTRY])) | {"format": 2}
    with pytest.raises(InvalidInputError, match="The journal was made by a newer version"):
        journal_from_json(json.dumps(plain))
