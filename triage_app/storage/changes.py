"""What a change of a case is made of, worked out the same way for every store. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from triage_app.casefile.canonical import canonical_json, sha256_of
from triage_app.casefile.cases import case_to_plain
from triage_app.casefile.commands import command_to_plain
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.ids import Sha256
from triage_app.domain.journal import FIRST_PREVIOUS_HASH, JournalEntry, entry_hash
from triage_app.domain.signed import Signed
from triage_app.services.ports import Check

CASE_OPENED = "case opened"


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The last entry of a journal, as far as the next one needs it."""

    sequence: int = 0
    entry_hash: str = FIRST_PREVIOUS_HASH


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A case as it is to be stored, with the journal entry that says why."""

    case: Case
    body: str
    entry: JournalEntry


def opening(case: Case, signed: Signed) -> Change:
    """Return the change that puts a new case on record."""
    first = replace(case, revision=1)
    plain = case_to_plain(first)
    detail = canonical_json(
        {
            "command": {"kind": CASE_OPENED, "reference": first.reference},
            "before": None,
            "after": plain,
        }
    )
    return _change(first, canonical_json(plain), Head(), signed, CASE_OPENED, detail)


def change_by(
    command: AnyCommand,
    before: Case,
    head: Head,
    signed: Signed,
    *,
    check: Check | None = None,
) -> Change | None:
    """Return what ``command`` makes of the case, or None if there is nothing to do.

    Errors of the command and of ``check`` pass through.
    """
    changed = command.apply(before, signed)
    if changed == before:
        return None
    if check is not None:
        check(before, changed)
    after = replace(changed, revision=before.revision + 1)
    plain = case_to_plain(after)  # made once: of a case with forty photos it takes a while
    was, is_now = touched(case_to_plain(before), plain)
    detail = canonical_json({"command": command_to_plain(command), "before": was, "after": is_now})
    return _change(after, canonical_json(plain), head, signed, command.kind, detail)


def blobs_of(case: Case) -> set[Sha256]:
    """Return the name of every blob that the case refers to."""
    return {photo.sha256 for photo in case.photos} | {report.sha256 for report in case.reports}


def touched(
    before: Mapping[str, object], after: Mapping[str, object]
) -> tuple[dict[str, object], dict[str, object]]:
    """Return the parts of two cases that differ; of a list, only the items that differ."""
    was: dict[str, object] = {}
    is_now: dict[str, object] = {}
    # A list that is empty may be left out, and is then as good as one that is there.
    for name in dict.fromkeys((*before, *after)):
        old, new = before.get(name, []), after.get(name, [])
        if name == "revision" or old == new:
            continue
        if isinstance(old, list) and isinstance(new, list):
            old_by_key, new_by_key = _by_key(old), _by_key(new)
            was[name] = [item for key, item in old_by_key.items() if new_by_key.get(key) != item]
            is_now[name] = [item for key, item in new_by_key.items() if old_by_key.get(key) != item]
        else:
            was[name], is_now[name] = old, new
    return was, is_now


def _by_key(items: list[dict[str, object]]) -> dict[object, dict[str, object]]:
    # What carries no name of its own, such as a pair of photos, is told by all that it says.
    return {item.get("id") or item.get("sha256") or canonical_json(item): item for item in items}


def _change(case: Case, body: str, head: Head, signed: Signed, kind: str, detail: str) -> Change:
    body_sha256 = sha256_of(body)
    sequence = head.sequence + 1
    sealed = entry_hash(
        case_id=case.id,
        sequence=sequence,
        signed=signed,
        kind=kind,
        detail=detail,
        case_sha256=body_sha256,
        previous_hash=head.entry_hash,
    )
    entry = JournalEntry(
        case_id=case.id,
        sequence=sequence,
        signed=signed,
        kind=kind,
        detail=detail,
        case_sha256=body_sha256,
        previous_hash=head.entry_hash,
        entry_hash=sealed,
    )
    return Change(case=case, body=body, entry=entry)
