"""Passwords: hashed with argon2id, compared without telling more than yes or no, never kept.

What a new one must be follows NIST SP 800-63B-4 (2025), 3.1.1.2, read in a copy: a least length,
nothing asked about kinds of characters, no change by the calendar, and none that is easily guessed.
"""

import threading
import unicodedata
from collections.abc import Iterable

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.shop_settings import SHORTEST_PASSWORD_LENGTH

LONGEST_PASSWORD = 256
# Each hash takes 64 MiB for a moment, so few are made at once.
_HASHES_AT_ONCE = 2
# zxcvbn estimates guesses in powers of ten; below 10^8 it calls a password easily guessed.
_LEAST_GUESSES_LOG10 = 8.0
_LOOKED_AT = 72
_OURS = ("underbody", "triage", "password", "workshop", "bodyshop")


class Passwords:
    """``hasher`` as shipped: argon2id with RFC 9106's second recommended parameters."""

    def __init__(self, hasher: PasswordHasher | None = None) -> None:
        self._hasher = hasher or PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
        self._at_once = threading.BoundedSemaphore(_HASHES_AT_ONCE)
        self._nobodys: str | None = None

    def hashed(self, password: str) -> str:
        with self._at_once:
            return self._hasher.hash(_plain(password))

    def is_right(self, password: str, password_hash: str) -> bool:
        """Tell whether it is; as slow for nobody's password ("" as hash) as for somebody's."""
        if self._nobodys is None:
            self._nobodys = self.hashed("nobody's")
        try:
            with self._at_once:
                self._hasher.verify(password_hash or self._nobodys, _plain(password))
        except (VerificationError, InvalidHashError):
            return False
        return bool(password_hash)

    def is_outdated(self, password_hash: str) -> bool:
        """Tell whether it was made with other parameters than are used now."""
        return self._hasher.check_needs_rehash(password_hash)


def refuse_weak(password: str, *, least_length: int, names: Iterable[str]) -> None:
    """Raise InvalidInputError, in one sentence, for a password that is short or easily guessed.

    ``names`` are what anybody would try first: the person's own, the shop's.
    """
    plain = _plain(password)
    if len(plain) < least_length:
        raise InvalidInputError(
            f"A password has at least {least_length} characters; a few words that belong to no "
            "saying make a good one. Spaces count."
        )
    if len(plain) > LONGEST_PASSWORD:
        raise InvalidInputError(f"A password has at most {LONGEST_PASSWORD} characters.")
    known = _known_words(names)
    is_mostly_names = len(_without(plain, known)) < SHORTEST_PASSWORD_LENGTH
    if is_mostly_names or _guesses_log10(plain, known) < _LEAST_GUESSES_LOG10:
        raise InvalidInputError(
            "This password is easily guessed: it repeats itself, follows a pattern, holds a name, "
            "or is one that many people use."
        )


def _known_words(names: Iterable[str]) -> list[str]:
    words = [word for name in names for word in name.casefold().split()]
    return [*(word for word in words if len(word) > 2), *_OURS]


def _without(plain: str, known: Iterable[str]) -> str:
    """Return the letters and digits that are left once the known words are taken out."""
    rest = plain.casefold()
    for word in known:
        rest = rest.replace(word, " ")
    return "".join(filter(str.isalnum, rest))


def _guesses_log10(plain: str, known: list[str]) -> float:
    # Its lists of words take a moment to load, and a password is rarely chosen.
    from zxcvbn import zxcvbn  # type: ignore[import-untyped]  # noqa: PLC0415 - it ships no types

    found = zxcvbn(plain[:_LOOKED_AT], user_inputs=known)
    return float(found["guesses_log10"])


def _plain(password: str) -> str:
    # As another keyboard would type it; 3.1.1.2 asks for one form of Unicode before hashing.
    return unicodedata.normalize("NFKC", password)
