"""Words that the tables of operations and of test outcomes share."""

from collections.abc import Mapping

from rules.reading.judgements import Words
from rules.reading.rows import Row
from rules.work import Charge, Parts, Step


def parts_of(row: Row, words: Words) -> Parts:
    """Return which parts the row speaks of; RulebookError for one that the book does not have."""
    groups = {part.group for part in words.components.values()}
    named = {
        field: frozenset(row.texts(field, optional=True))
        for field in ("component", "group", "except", "except_group")
    }
    for field, known in (("component", words.components), ("except", words.components)):
        row.known(field, named[field], known)
    for field in ("group", "except_group"):
        row.known(field, named[field], groups)
    return Parts(
        components=named["component"],
        groups=named["group"],
        but=named["except"],
        but_groups=named["except_group"],
    )


def step_ids_of(row: Row, field: str, steps: Mapping[str, Step]) -> tuple[str, ...]:
    """Return the steps that the field names, none where it is not there."""
    ids = row.texts(field, optional=True)
    row.known(field, ids, steps)
    return ids


def charges_of(row: Row) -> frozenset[Charge]:
    """Return what the price list must give; at least one thing."""
    words = {charge.value: charge for charge in Charge}
    row.known("charges", row.some("charges"), words)
    return frozenset(words[name] for name in row.some("charges"))
