"""Names for identifiers, so that one is never passed where another is meant."""

import re
from typing import NewType

from triage_app.domain.errors import InvalidInputError

AccountId = NewType("AccountId", str)
CaseId = NewType("CaseId", str)
PhotoId = NewType("PhotoId", str)
FindingId = NewType("FindingId", str)
MarkId = NewType("MarkId", str)
EvidenceId = NewType("EvidenceId", str)
SafingId = NewType("SafingId", str)
AdmissionId = NewType("AdmissionId", str)
InspectionId = NewType("InspectionId", str)
ReviewId = NewType("ReviewId", str)
Sha256 = NewType("Sha256", str)

_CLIENT_MADE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_SHA256 = re.compile(r"[0-9a-f]{64}")


def checked_id(text: str) -> str:
    """Return ``text`` if it can be an identifier (letters, digits, ``-``, ``_``; at most 64).

    Raises InvalidInputError otherwise. Identifiers are made by the client, so that repeating a
    request is harmless; they never reach a file path unchecked.
    """
    if not _CLIENT_MADE.fullmatch(text):
        raise InvalidInputError(
            "An identifier may hold only letters, digits, '-' and '_', at most 64 of them."
        )
    return text


def checked_sha256(text: str) -> Sha256:
    """Return ``text`` as a SHA-256 name (64 lower-case hex digits) or raise InvalidInputError."""
    if not _SHA256.fullmatch(text):
        raise InvalidInputError("A SHA-256 is 64 digits 0-9 and letters a-f.")
    return Sha256(text)
