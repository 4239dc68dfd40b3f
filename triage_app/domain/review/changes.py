"""What is different between what was signed and what is there now, in sentences."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

_LEVELS = {
    "risk": "the risk",
    "hv_flag": "the HV flag",
    "signal_word": "the signal word",
    "consequence": "the consequence",
    "likelihood": "the likelihood",
    "disposition": "the repair needed",
}
_LISTS = {
    "reasons": "the rules that fire, or their facts",
    "actions": "the required actions",
    "open_tests": "the outstanding tests",
    "residual": "what remains after the records",
}

_Plain = Mapping[str, Any]


def changes_since(signed: str, now: str) -> tuple[str, ...]:
    """Return what changed, each as the rest of a sentence; empty where the texts are equal.

    Two texts that differ always give something, if only that what was signed is not this.
    """
    if signed == now:
        return ()
    try:
        before, after = json.loads(signed), json.loads(now)
        found = tuple(_changes(before, after))
    except (ValueError, AttributeError, TypeError, KeyError):
        # Such a text comes from outside; it is no signature of what is here.
        found = ()
    return found or ("what was signed is not what is on record now",)


def _changes(before: _Plain, after: _Plain) -> Iterator[str]:
    yield from _of_finding(before["finding"], after["finding"])
    yield from _of_photos(before["photos"], after["photos"])
    yield from _of_answer(before["assessment"], after["assessment"])
    if before["book"] != after["book"]:
        old, new = before["book"]["revision"], after["book"]["revision"]
        which = f"from revision {old} to {new}" if old != new else "within its revision"
        yield f"the rule book changed {which}"


def _of_finding(before: _Plain, after: _Plain) -> Iterator[str]:
    if before == after:
        return
    old, new = before.get("tags", {}), after.get("tags", {})
    for name in sorted(old.keys() | new.keys()):
        if old.get(name) != new.get(name):
            yield _from_to(f"the {name.replace('_', ' ')}", old.get(name), new.get(name))
    yield from _of_marks(before.get("marks", []), after.get("marks", []))
    if before.get("withdrawn") != after.get("withdrawn"):
        yield "it was withdrawn or restored"
    if before.get("revision") != after.get("revision"):
        yield f"the finding is at revision {after['revision']}, signed was {before['revision']}"


def _of_marks(before: list[_Plain], after: list[_Plain]) -> Iterator[str]:
    old, new = ({mark["id"]: mark for mark in marks} for marks in (before, after))
    added, gone = new.keys() - old.keys(), old.keys() - new.keys()
    if added:
        yield f"{_count(len(added), 'mark')} added"
    if gone:
        yield f"{_count(len(gone), 'mark')} taken off"
    moved = [key for key in old.keys() & new.keys() if old[key] != new[key]]
    if moved:
        yield f"{_count(len(moved), 'mark')} drawn anew"


def _of_photos(before: list[_Plain], after: list[_Plain]) -> Iterator[str]:
    old, new = ({photo["id"]: photo for photo in photos} for photos in (before, after))
    for photo_id in old.keys() & new.keys():
        if old[photo_id]["sha256"] != new[photo_id]["sha256"]:
            yield "a photo is another file"
        elif old[photo_id]["taken_at"] != new[photo_id]["taken_at"]:
            was, is_now = old[photo_id]["taken_at"], new[photo_id]["taken_at"]
            yield _from_to("the real time of a photo", was, is_now)
        elif old[photo_id] != new[photo_id]:
            yield "what is on record about a photo"
    if old.keys() != new.keys():
        yield "which photos show it"


def _of_answer(before: _Plain, after: _Plain) -> Iterator[str]:
    for name, words in _LEVELS.items():
        if before.get(name) != after.get(name):
            yield _from_to(words, before.get(name), after.get(name))
    for name, words in _LISTS.items():
        if before.get(name) != after.get(name):
            yield f"{words} changed"


def _from_to(what: str, old: object, new: object) -> str:
    if isinstance(old, dict) or isinstance(new, dict):
        return f"{what} changed"
    return f"{what} changed from {_word(old)} to {_word(new)}"


def _word(value: object) -> str:
    if value is None:
        return "not said"
    return str(value).replace("_", " ") if isinstance(value, str) else json.dumps(value)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'s were' if number > 1 else ' was'}"
