"""Two statements -> exactly what was added, changed and withdrawn between them. Pure."""

from dataclasses import dataclass
from enum import StrEnum

from triage_app.report.statement import Item, Statement, Topic

NOT_STATED = "not stated"
# The facts that stand first are those that a reader asks for first.
_IN_SHORT = 8


class Kind(StrEnum):
    """What became of an item or of one of its facts."""

    ADDED = "added"
    CHANGED = "changed"
    WITHDRAWN = "withdrawn"
    GONE = "no longer stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One row of the comparison. ``fact`` is empty where the whole item came or went."""

    kind: Kind
    topic: Topic
    title: str
    fact: str
    before: str
    after: str


def differences(before: Statement, after: Statement) -> tuple[Difference, ...]:
    """Return every difference, by topic, then in the order of the newer report."""
    was = {(item.topic, item.id): item for item in before.items}
    is_now = {(item.topic, item.id): item for item in after.items}
    found: list[Difference] = []
    for topic in Topic:
        for item in after.items:
            if item.topic is topic:
                found += _of_one(was.get((topic, item.id)), item)
        for item in before.items:
            if item.topic is topic and (topic, item.id) not in is_now:
                found.append(_whole(Kind.GONE, item, before=_in_short(item), after=NOT_STATED))
    return tuple(found)


def _of_one(old: Item | None, new: Item) -> list[Difference]:
    if old is None or (old.withdrawn and not new.withdrawn):
        if new.withdrawn:
            # Found and given up between two reports: a reader still has to know of it.
            return [_whole(Kind.WITHDRAWN, new, before=NOT_STATED, after=new.withdrawn)]
        earlier = NOT_STATED if old is None else f"withdrawn: {old.withdrawn}"
        return [_whole(Kind.ADDED, new, before=earlier, after=_in_short(new))]
    if new.withdrawn:
        if old.withdrawn:
            return []
        return [_whole(Kind.WITHDRAWN, new, before=_in_short(old), after=new.withdrawn)]
    return _changed(old, new)


def _changed(old: Item, new: Item) -> list[Difference]:
    was, is_now = dict(old.facts), dict(new.facts)
    return [
        Difference(
            kind=Kind.CHANGED,
            topic=new.topic,
            title=new.title,
            fact=name,
            before=was.get(name, NOT_STATED),
            after=is_now.get(name, NOT_STATED),
        )
        for name in dict.fromkeys((*is_now, *was))
        if was.get(name) != is_now.get(name)
    ]


def _whole(kind: Kind, item: Item, *, before: str, after: str) -> Difference:
    return Difference(
        kind=kind, topic=item.topic, title=item.title, fact="", before=before, after=after
    )


def _in_short(item: Item) -> str:
    """Return what matters most of an item; the report that states it has all of it."""
    said = (
        f"{name}: {value}"
        for name, value in item.facts[:_IN_SHORT]
        if not item.title.endswith(value)
    )
    return "; ".join(said) or item.title
