"""quarantine.toml and transport.toml -> levels, UN numbers and the rules that ask for them."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Generic

from rules.case_answer import UnNumber
from rules.case_rule import CaseRule, LevelT, QuarantineLevel, TransportEntry
from rules.condition import Selector
from rules.reading.judgements import (
    ANSWERS,
    Words,
    refuse_unreachable,
    refuse_unsourced,
    rule_id_of,
    selector_of,
)
from rules.reading.rows import Row, list_of_rows
from rules.reading.words import Document, cited
from rules.terms import Basis, Quarantine, RulebookError, RuleId, TransportClass

QUARANTINE_FILE, TRANSPORT_FILE = "quarantine.toml", "transport.toml"
QUARANTINE = {
    "not asked": Quarantine.NOT_ASKED,
    "hold outside": Quarantine.HOLD_OUTSIDE,
    "keep apart": Quarantine.KEEP_APART,
    "emergency": Quarantine.EMERGENCY,
}
TRANSPORT = {
    "expert decides": TransportClass.EXPERT_DECIDES,
    "damaged or defective": TransportClass.DAMAGED_OR_DEFECTIVE,
    "critical": TransportClass.CRITICAL,
}
_ASKED = ("sign", "finding", "battery_not_seen")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind(Generic[LevelT]):
    """What tells the rules of one of the two tables from those of the other."""

    file: str
    prefix: str
    levels: Mapping[str, LevelT]


class QuarantineTable:
    """The levels of quarantine and the rules that ask for them."""

    def __init__(self, document: Document, words: Words, signs: Collection[str]) -> None:
        kind = _Kind(file=QUARANTINE_FILE, prefix="QUA", levels=QUARANTINE)
        levels: dict[Quarantine, QuarantineLevel] = {}
        for row in list_of_rows(kind.file, document, "level", "level"):
            level = row.pick("level", QUARANTINE)
            levels[level] = QuarantineLevel(
                level=level,
                label=row.text("label"),
                text=row.text("text"),
                citations=cited(row, words.facts),
            )
            row.finish()
        _refuse_missing(kind, "level", levels)
        self.levels = MappingProxyType(levels)
        self.rules = MappingProxyType(_rules(kind, document, words, signs))
        _finish(kind.file, document, ("level", "rule"))


class TransportTable:
    """The transport classes, the UN numbers, and the rules that ask for a class."""

    def __init__(self, document: Document, words: Words, signs: Collection[str]) -> None:
        kind = _Kind(file=TRANSPORT_FILE, prefix="TRP", levels=TRANSPORT)
        classes: dict[TransportClass, TransportEntry] = {}
        for row in list_of_rows(kind.file, document, "class", "class"):
            one = row.pick("class", TRANSPORT)
            classes[one] = TransportEntry(
                transport_class=one,
                label=row.text("label"),
                text=row.text("text"),
                packing=row.texts("packing"),
                citations=cited(row, words.facts),
            )
            row.finish()
        _refuse_missing(kind, "class", classes)
        self.classes = MappingProxyType(classes)
        self.un_numbers = tuple(
            _un_number(row, words)
            for row in list_of_rows(kind.file, document, "un_number", "number")
        )
        self.rules = MappingProxyType(_rules(kind, document, words, signs))
        _finish(kind.file, document, ("class", "un_number", "rule"))


def _un_number(row: Row, words: Words) -> UnNumber:
    one = UnNumber(
        number=row.text("number"), travels=row.text("travels"), citations=cited(row, words.facts)
    )
    row.finish()
    return one


def _rules(
    kind: _Kind[LevelT], document: Document, words: Words, signs: Collection[str]
) -> dict[RuleId, CaseRule[LevelT]]:
    rules: dict[RuleId, CaseRule[LevelT]] = {}
    for row in list_of_rows(kind.file, document, "rule", "id"):
        rule = _rule(row, kind, words, signs)
        rules[rule.id] = rule
    return rules


def _rule(row: Row, kind: _Kind[LevelT], words: Words, signs: Collection[str]) -> CaseRule[LevelT]:
    when = row.table("when")
    if sum(when.has(field) for field in _ASKED) != 1:
        raise row.fault("when", f"must ask exactly one of: {', '.join(_ASKED)}.")
    named = when.some("sign") if when.has("sign") else ()
    when.known("sign", named, signs)
    rule = CaseRule(
        id=rule_id_of(row, kind.prefix),
        table=row.file,
        signs=frozenset(named),
        answer=when.pick("answer", ANSWERS) if named else None,
        finding=_finding(row, when, words) if when.has("finding") else None,
        battery_not_seen=_only_true(when, "battery_not_seen"),
        then=row.pick("then", kind.levels),
        because=row.text("because"),
        basis=row.word("basis", Basis),
        cites=row.texts("cites", optional=True),
        citations=cited(row, words.facts),
    )
    when.finish()
    row.finish()
    if rule.then == 0:
        raise row.fault("then", "is what holds without any rule.")
    refuse_unsourced(row, rule.basis, rule.citations)
    return rule


def _finding(row: Row, when: Row, words: Words) -> Selector:
    inner = when.table("finding")
    selector = selector_of(inner, words)
    inner.finish()
    refuse_unreachable(row, "when", selector, words)
    return selector


def _only_true(when: Row, field: str) -> bool:
    if not when.has(field):
        return False
    if not when.flag(field):
        raise when.fault(field, "can only be asked for as true; leave it out otherwise.")
    return True


def _refuse_missing(kind: _Kind[LevelT], what: str, given: Collection[LevelT]) -> None:
    for word, level in kind.levels.items():
        if level not in given:
            raise RulebookError(f"{kind.file}, {what}: '{word}' needs its row.")


def _finish(file: str, document: Document, keys: tuple[str, ...]) -> None:
    for key in document:
        if key not in keys:
            raise RulebookError(f"{file}, {key}: is not one of {', '.join(keys)}.")
