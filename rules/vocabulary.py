"""Finding words and rows of the book by whatever word the trade has; a few letters suffice."""

import re
import unicodedata
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import TypeVar

from rules.model import Component, DamageType
from rules.rulebook import Rulebook

_Word = TypeVar("_Word", Component, DamageType)
_Entry = TypeVar("_Entry")
_Texts = Callable[[_Entry], Iterable[str]]
_BETWEEN_WORDS = re.compile(r"[^a-z0-9]+")


def search_components(rulebook: Rulebook, text: str) -> tuple[Component, ...]:
    """Return the parts that fit ``text``, best first; all, in the order of the book, for no text.

    >>> from rules import load_rulebook
    >>> search_components(load_rulebook(), "orange ca")[0].id
    'hv_cable'
    """
    return search(rulebook.components.values(), text)


def search_damage_types(rulebook: Rulebook, text: str) -> tuple[DamageType, ...]:
    """Return the damage types that fit ``text``, best first; all for no text.

    >>> from rules import load_rulebook
    >>> search_damage_types(load_rulebook(), "rust")[0].id
    'corrosion'
    """
    return search(rulebook.damage_types.values(), text)


def search_texts(
    entries: Iterable[_Entry], text: str, *, names: _Texts[_Entry], texts: _Texts[_Entry]
) -> tuple[_Entry, ...]:
    """Return the entries that fit ``text``, those whose name fits first; all for no text.

    ``names`` are what an entry is called, ``texts`` what else it says. Each word of ``text`` has
    to begin a word in them; hyphens, accents and capitals do not matter.

    >>> said = {"HVF-002": "High voltage runs behind this part.", "REP-001": "A scrape is cleaned."}
    >>> search_texts(said, "high-volt", names=lambda id_: [id_], texts=lambda id_: [said[id_]])
    ('HVF-002',)
    """
    wanted = plain(text)
    if text.strip() and not wanted:
        return ()
    ranked = [
        (rank, entry)
        for entry in entries
        if (rank := _text_rank(wanted, names(entry), texts(entry))) is not None
    ]
    return tuple(entry for _, entry in sorted(ranked, key=lambda pair: pair[0]))


def _text_rank(wanted: str, names: Iterable[str], texts: Iterable[str]) -> int | None:
    plain_names = [plain(name) for name in names]
    fits = [how for name in plain_names if (how := fit(name, wanted)) is not None]
    if fits:
        return min(fits)
    plain_texts = [plain(said) for said in texts]
    if any(_begins_words(said, wanted) for said in plain_texts):
        return 4
    # Words may also be spread over name and texts, such as a part and what is asked of it.
    return 5 if _begins_words(" ".join((*plain_names, *plain_texts)), wanted) else None


def _begins_words(said: str, wanted: str) -> bool:
    words = said.split()
    return all(any(word.startswith(part) for word in words) for part in wanted.split())


def search(entries: Iterable[_Word], text: str) -> tuple[_Word, ...]:
    """Return the entries that fit ``text``, best first; equals in the order given."""
    wanted = plain(text)
    if text.strip() and not wanted:
        return ()
    ranked = [(rank, entry) for entry in entries if (rank := _rank(entry, wanted)) is not None]
    # The sort is stable, so equals keep the order of the book.
    return tuple(entry for _, entry in sorted(ranked, key=lambda pair: pair[0]))


def _rank(entry: Component | DamageType, wanted: str) -> tuple[int, int] | None:
    """Return how well the entry fits, lower is better; None if it does not."""
    names = (entry.label, entry.id, *entry.synonyms)
    best: tuple[int, int] | None = None
    for place, name in enumerate(names):
        how_well = fit(plain(name), wanted)
        # A synonym counts a little less than the name itself, a better fit always counts more.
        if how_well is not None and (best is None or (how_well, min(place, 2)) < best):
            best = (how_well, min(place, 2))
    return best


def fit(name: str, wanted: str) -> int | None:
    """Return how well a plain name fits what is wanted, lower is better; None if it does not."""
    if name == wanted:
        return 0
    if name.startswith(wanted):
        return 1
    words = name.split()
    parts = wanted.split()
    if all(any(word.startswith(part) for word in words) for part in parts):
        return 2
    return 3 if wanted.replace(" ", "") in name.replace(" ", "") else None


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """Return ``text`` in small letters without accents, hyphens and other marks."""
    bare = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return _BETWEEN_WORDS.sub(" ", bare).strip()
