"""Names that a shop may give: never one that leads a search away from a worse part or damage.

A synonym is how a person finds a part. One that is also a name of ours, or that comes first where
a part at high voltage came first before, would hide that part; it is refused.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from rules.model import Component, DamageType
from rules.reading.rows import Row
from rules.vocabulary import fit, plain, search

_Word = TypeVar("_Word", Component, DamageType)
_K = TypeVar("_K", bound=str)

_HV_WORDS = ("hv", "high voltage", "orange", "traction", "busbar")
# From mild to bad; a family that is not named here lies between.
_DEGREES = {"surface": 0, "opened": 2, "heat": 3, "unknown": 3}
_SHORTEST_QUERY = 3


def degree(word: Component | DamageType) -> int:
    """Return how bad it is to take this word for a milder one; higher is worse."""
    if isinstance(word, DamageType):
        return _DEGREES.get(word.family, 1)
    return 2 if word.is_hv else 1 if word.hv_runs_behind else 0


def refuse_taken(
    row: Row, field: str, names: Sequence[str], own: str, known: Iterable[Component | DamageType]
) -> None:
    """Refuse names that already lead to another word than ``own``, or that say nothing."""
    taken = {_tight(name): word for word in known for name in names_of(word) if word.id != own}
    for name in names:
        if not plain(name):
            raise row.fault(field, f"'{name}' has no letter or digit of the alphabet.")
        if _tight(name) in taken:
            other = taken[_tight(name)]
            raise row.fault(field, f"'{name}' already leads to '{other.id}' ({other.label}).")


def refuse_hv_by_name(
    row: Row, field: str, names: Sequence[str], part: Component, known: Iterable[Component]
) -> None:
    """Refuse a name that speaks of high voltage for a part that has none in or behind it."""
    if degree(part):
        return
    hv_names = {*_HV_WORDS, *(n for word in known if degree(word) for n in _long_names(word))}
    for name in names:
        found = sorted(word for word in hv_names if _holds(name, word))
        if found:
            raise row.fault(
                field,
                f"'{name}' speaks of high voltage ('{found[0]}'), but neither is '{part.id}' HV "
                "nor does HV run behind it.",
            )


def refuse_worse_by_name(
    row: Row, field: str, names: Sequence[str], damage: DamageType, known: Iterable[DamageType]
) -> None:
    """Refuse a name that holds a name of worse damage, such as "hot cut" for a scrape."""
    worse = [word for word in known if degree(word) > degree(damage)]
    for name in names:
        for word in worse:
            if any(_holds(name, plain(one)) for one in names_of(word)):
                raise row.fault(
                    field, f"'{name}' holds a name of '{word.id}', which is worse than this damage."
                )


def refuse_hidden(
    row: Row, field: str, names: Iterable[str], ours: Mapping[_K, _Word], both: Mapping[_K, _Word]
) -> None:
    """Refuse names by which a search for a word of ours would end at a milder one."""
    for query in _queries(ours.values()):
        if all(fit(plain(name), query) is None for name in names):
            continue
        before, after = search(ours.values(), query)[0], search(both.values(), query)[0]
        if degree(after) < degree(before):
            raise row.fault(
                field,
                f"a search for '{query}' would find '{after.id}' before '{before.id}'.",
            )


def names_of(word: Component | DamageType) -> tuple[str, ...]:
    return (word.label, word.id, *word.synonyms)


def _queries(words: Iterable[Component | DamageType]) -> list[str]:
    """Return what somebody may type to find a word of ours: its names and each word in them."""
    names = {plain(name) for word in words for name in names_of(word)}
    single = {one for name in names for one in name.split() if len(one) >= _SHORTEST_QUERY}
    return sorted(names | single)


def _long_names(word: Component) -> Iterable[str]:
    return (plain(name) for name in names_of(word) if " " in plain(name))


def _holds(name: str, wanted: str) -> bool:
    return re.search(rf"\b{re.escape(wanted)}\b", plain(name)) is not None


def _tight(name: str) -> str:
    return plain(name).replace(" ", "")
