"""Rows of evidence that a shop made stricter: more tests to be met, or more that remains.

A row of ours that answers rules by records is the one place where the book lowers an answer, so a
shop can only hold it back. It can add no row that answers anything.
"""

from collections.abc import Iterator
from dataclasses import replace

from rules.evidence_rule import EvidenceBook, EvidenceRule, Given, Remains
from rules.overlay import Change, ChangeKind
from rules.reading.evidence import read_remains
from rules.reading.judgements import Words
from rules.reading.overlay_rows import ShopFile
from rules.reading.rows import Row
from rules.rulebook import Rulebook
from rules.terms import OpenTestId


def read_stricter_evidence(
    file: ShopFile, words: Words, ours: Rulebook
) -> tuple[EvidenceBook, tuple[Change, ...]]:
    """Return the table of evidence with the shop's stricter rows in the place of ours.

    RulebookError names file, row and field of one that asks for no more than ours.
    """
    rows = {row.id: row for row in ours.evidence.rules}
    changes: list[Change] = []
    for row in file.rows("stricter_evidence"):
        row.known("of", (row.name,), rows)
        base = next(one for one in ours.evidence.rules if one.id == row.name)
        rows[base.id], change = _stricter(row, words, base)
        changes.append(change)
    return replace(ours.evidence, rules=tuple(rows.values())), tuple(changes)


def _stricter(row: Row, words: Words, base: EvidenceRule) -> tuple[EvidenceRule, Change]:
    if not base.answers:
        raise row.fault("of", f"{base.id} only raises; write a rule of your own to ask for more.")
    tests = frozenset(OpenTestId(name) for name in row.texts("also_met", optional=True))
    row.known("also_met", tests, words.open_tests)
    for test in sorted(tests & (base.given.met | base.of_old_part)):
        raise row.fault("also_met", f"{base.id} has '{test}' already.")
    then = _more_remains(row, base)
    because = row.text("because")
    row.finish()
    if not tests and then == base.then:
        raise row.fault("of", f"nothing in this row is stricter than {base.id}.")
    stricter = replace(
        base,
        given=_with_tests(base.given, tests),
        then=then,
        because=f"{base.because} The shop asks for more: {because}",
    )
    words_of = "; ".join(_in_words(base, stricter))
    says = f"evidence, {words_of}: {because}"
    return stricter, Change(kind=ChangeKind.TIGHTENS, row=base.id, says=says)


def _with_tests(given: Given, tests: frozenset[OpenTestId]) -> Given:
    return replace(given, met=given.met | tests)


def _more_remains(row: Row, base: EvidenceRule) -> Remains:
    """Return what remains by the shop's word; a fault for anything that is not more."""
    if not row.has("then"):
        return base.then
    table = row.table("then")
    asked = read_remains(table)
    table.finish()
    for name, low_is_worse in (("likelihood", True), ("disposition", False)):
        before, after = getattr(base.then, name), getattr(asked, name)
        if after is None:
            continue
        if before is None:
            raise table.fault(name, f"{base.id} leaves nothing of the kind.")
        if after == before or (after < before) is not low_is_worse:
            raise table.fault(name, f"leaves no more than {base.id} does.")
    return Remains(
        likelihood=asked.likelihood or base.then.likelihood,
        disposition=base.then.disposition if asked.disposition is None else asked.disposition,
    )


def _in_words(base: EvidenceRule, stricter: EvidenceRule) -> Iterator[str]:
    more = sorted(stricter.given.met - base.given.met)
    if more:
        yield f"also to be met: {', '.join(more)}"
    if stricter.then.likelihood != base.then.likelihood:
        yield f"likelihood {base.then.likelihood} to {stricter.then.likelihood}"
    old, new = base.then.disposition, stricter.then.disposition
    if old is not None and new is not None and new != old:
        yield f"repair {old.name.lower()} to {new.name.lower()}".replace("_", " ")
