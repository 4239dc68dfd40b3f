"""Who did a thing and when, and whether two names are one person's."""

import unicodedata
from dataclasses import dataclass
from datetime import UTC, datetime

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.permissions import Role
from triage_app.domain.vehicle import checked_text

# Letters that no decomposition takes apart, as people write them on a keyboard without them.
_PLAIN = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "ħ": "h", "\u0131": "i"}
    | {"æ": "a", "œ": "o", "þ": "th"}
)
# One and the same name: ä is also written ae or a.
_DIGRAPHS = ("ae", "oe", "ue")


@dataclass(frozen=True, slots=True, kw_only=True)
class Operator:
    """The named person who does something, and the roles they act in.

    No role, as when only a name is known, allows nothing.
    """

    name: str
    roles: frozenset[Role] = frozenset()

    def __post_init__(self) -> None:
        name = " ".join(checked_text(self.name, "The name").split())
        if not 2 <= len(name) <= 80:
            raise InvalidInputError("A name has 2 to 80 characters.")
        object.__setattr__(self, "name", name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who did a thing and when. ``at`` has a time zone and is kept in UTC."""

    by: str
    at: datetime

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise InvalidInputError("A time on record has a time zone.")
        object.__setattr__(self, "at", self.at.astimezone(UTC))


def is_same_person(one: str, other: str) -> bool:
    """Tell whether two names can only be told apart by case, spaces, accents, marks or order.

    What another keyboard makes of a letter is no difference either: ø and o, ä and ae.

    Errs towards the same person, because it decides whether somebody accepts their own work.

    >>> is_same_person("Ada Nowak", "NOWAK, ada")
    True
    """
    return _folded(one) == _folded(other)


def _folded(name: str) -> list[str]:
    whole = unicodedata.normalize("NFKD", name.casefold())
    bare = (letter for letter in whole if not unicodedata.combining(letter))
    plain = "".join(bare).translate(_PLAIN)
    for digraph in _DIGRAPHS:
        plain = plain.replace(digraph, digraph[0])
    words = "".join(letter if letter.isalnum() else " " for letter in plain).split()
    return sorted(words) or [name.strip()]
