"""Rows of a shop's overlay that judge: new ones, and ours made stricter.

A stricter row does not change ours. It is made from ours, with a tighter limit or a worse outcome,
gets an id and a reason of its own, and stands beside it: the worst of both counts.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from rules.condition import MET, QUESTIONS, Check
from rules.overlay import RULE_PREFIX, Change, ChangeKind
from rules.reading.judgements import (
    Words,
    read_outcome,
    read_rule,
    read_stop_rule,
    refuse_unsourced,
    rule_id_of,
)
from rules.reading.overlay_rows import ShopFile
from rules.reading.rows import Row
from rules.reading.words import cited
from rules.rule import Outcome, Rule, StopRule
from rules.rulebook import Rulebook
from rules.terms import Basis, Origin, RuleId

# Which way a limit gets stricter: so that more findings meet it.
STRICTER_IS_LOWER: Mapping[str, bool] = {
    "depth_mm_min": True,
    "length_mm_min": True,
    "voltage_v_over": True,
    "hv_within_mm": False,
}
# Longer than the way to high voltage can be under a car: such a limit would clear nothing.
LONGEST_HV_WITHIN_MM = 5000.0
_LEAST_REASON = 10
_LEVELS = ("consequence", "likelihood", "hv_flag", "disposition", "signal_word")


@dataclass(slots=True)
class ShopRules:
    """The shop's own rows by id, what each changes, and which have no example and why."""

    rules: dict[RuleId, Rule] = field(default_factory=dict)
    stop_rules: dict[RuleId, StopRule] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    without_example: dict[RuleId, str] = field(default_factory=dict)

    def note(self, kind: ChangeKind, row: Row, says: str) -> None:
        self.changes.append(Change(kind=kind, row=row.name, says=says))


def read_shop_rules(file: ShopFile, words: Words, ours: Rulebook) -> ShopRules:
    """Return the shop's rows; RulebookError names file, row and field of one not allowed."""
    shop = ShopRules()
    for row in file.rows("rule"):
        _excused(row, shop)
        rule = read_rule(row, words, RULE_PREFIX, stands_beside=row.has("beside"))
        _refuse_far(row.table("when") if row.has("when") else row, rule.checks)
        shop.rules[rule.id] = replace(rule, origin=Origin.SHOP)
        shop.note(ChangeKind.ADDS, row, f"rule: {rule.because}")
    for row in file.rows("stop_rule"):
        _excused(row, shop)
        stop = _shops_stop(read_stop_rule(row, words, RULE_PREFIX))
        if stop.sign not in ours.signs:
            raise row.fault("sign", f"the book knows no sign '{stop.sign}'.")
        shop.stop_rules[stop.id] = stop
        shop.note(ChangeKind.ADDS, row, f"for the sign {stop.sign}: {stop.reason.because}")
    for row in file.rows("stricter"):
        _excused(row, shop)
        _stricter(row, words, ours, shop)
    _refuse_twice(file)
    return shop


def _excused(row: Row, shop: ShopRules) -> None:
    """Note a rule that says why it has no example."""
    if row.has("no_example"):
        reason = row.text("no_example")
        if len(reason.strip()) < _LEAST_REASON:
            raise row.fault("no_example", "must say why there can be no example.")
        shop.without_example[RuleId(row.name)] = reason


def _stricter(row: Row, words: Words, ours: Rulebook, shop: ShopRules) -> None:
    of = RuleId(row.text("of"))
    row.known("of", (of,), {*ours.rules, *ours.stop_rules})
    rule_id = rule_id_of(row, RULE_PREFIX)
    if of in ours.stop_rules:
        base_stop = ours.stop_rules[of]
        then = _worse(row, words, of, base_stop.then)
        reason = replace(
            base_stop.reason,
            rule_id=rule_id,
            because=row.text("because"),
            basis=row.word("basis", Basis),
            citations=cited(row, words.facts),
        )
        shop.stop_rules[rule_id] = _shops_stop(
            replace(base_stop, id=rule_id, then=then, reason=reason)
        )
        changed = list(_worsened(base_stop.then, then))
    else:
        rule, base = _tightened(row, words, ours.rules[of], rule_id), ours.rules[of]
        shop.rules[rule_id] = rule
        changed = [*_narrowed(base.checks, rule.checks), *_worsened(base.then, rule.then)]
    row.finish()
    refuse_unsourced(row, row.word("basis", Basis), cited(row, words.facts))
    if not changed:
        raise row.fault("of", f"nothing in this row is stricter than {of}.")
    shop.note(ChangeKind.TIGHTENS, row, f"{of}, {'; '.join(changed)}: {row.text('because')}")


def _tightened(row: Row, words: Words, base: Rule, rule_id: RuleId) -> Rule:
    met = row.table("unknown") if row.has("unknown") else None
    checks = tuple(_tighter(row, met, base, check) for check in base.checks)
    if met is not None:
        met.finish()
    for key in QUESTIONS:
        if row.has(key) and not any(check.key == key for check in base.checks):
            raise row.fault(key, f"{base.id} does not ask for it; write a rule of your own.")
    return Rule(
        id=rule_id,
        table=row.file,
        selector=base.selector,
        checks=checks,
        beside=base.beside,
        then=_worse(row, words, base.id, base.then),
        because=row.text("because"),
        basis=row.word("basis", Basis),
        cites=row.texts("cites", optional=True),
        citations=cited(row, words.facts),
        origin=Origin.SHOP,
        tightens=base.id,
    )


def _tighter(row: Row, met: Row | None, base: Rule, check: Check) -> Check:
    """Return the question with the shop's limit, and an unknown answer that counts as met."""
    if met is not None and met.has(check.key):
        if met.text(check.key) != MET:
            raise met.fault(check.key, f"can only become '{MET}': not known counts as worse.")
        check = replace(check, unknown=MET)
    if not (check.question.has_limit and row.has(check.key)):
        return check
    limit = row.number(check.key)
    lower = STRICTER_IS_LOWER[check.key]
    if limit == check.limit or (limit < check.limit) is not lower:
        raise row.fault(
            check.key,
            f"{limit:g} is not stricter than the {check.limit:g} of {base.id}; "
            f"only {'less' if lower else 'more'} is.",
        )
    tighter = replace(check, limit=limit)
    _refuse_far(row, (tighter,))
    return tighter


def _refuse_far(row: Row, checks: Iterable[Check]) -> None:
    for check in checks:
        if check.key == "hv_within_mm" and check.limit >= LONGEST_HV_WITHIN_MM:
            raise row.fault(check.key, f"must be less than {LONGEST_HV_WITHIN_MM:g}.")


def _worse(row: Row, words: Words, of: RuleId, base: Outcome) -> Outcome:
    """Return what ours asks for, made worse by what the shop asks for; never milder."""
    if not row.has("then"):
        return base
    then = row.table("then")
    asked = read_outcome(then, words)
    for name in _LEVELS:
        before, after = getattr(base, name), getattr(asked, name)
        if before is None or after is None:
            continue
        low_is_worse = name in {"consequence", "likelihood"}
        if after == before or (after < before) is not low_is_worse:
            raise then.fault(
                name, f"'{_word(after)}' is not worse than the '{_word(before)}' of {of}."
            )
    return Outcome(
        consequence=asked.consequence or base.consequence,
        likelihood=asked.likelihood or base.likelihood,
        hv_flag=asked.hv_flag or base.hv_flag,
        disposition=base.disposition if asked.disposition is None else asked.disposition,
        signal_word=base.signal_word if asked.signal_word is None else asked.signal_word,
        actions=base.actions | asked.actions,
        tests=base.tests | asked.tests,
    )


def _narrowed(before: Iterable[Check], after: Iterable[Check]) -> Iterator[str]:
    for old, new in zip(before, after, strict=True):
        if new.limit != old.limit:
            yield f"{new.key} {old.limit:g} to {new.limit:g}"
        if new.unknown != old.unknown:
            yield f"{new.key} not known counts as met"


def _worsened(before: Outcome, after: Outcome) -> Iterator[str]:
    for name in _LEVELS:
        old, new = getattr(before, name), getattr(after, name)
        if new != old:
            yield f"{name.replace('_', ' ')} {'-' if old is None else _word(old)} to {_word(new)}"
    more = sorted((after.actions - before.actions) | (after.tests - before.tests))
    if more:
        yield f"also {', '.join(more)}"


def _word(level: object) -> str:
    return str(getattr(level, "name", level)).lower().replace("_", " ")


def _shops_stop(stop: StopRule) -> StopRule:
    return replace(stop, reason=replace(stop.reason, origin=Origin.SHOP))


def _refuse_twice(file: ShopFile) -> None:
    """Refuse an id that stands in two sections; within one the rows are unique already."""
    seen: set[str] = set()
    for section in ("rule", "stop_rule", "stricter"):
        for row in file.rows(section):
            if row.name in seen:
                raise row.fault("id", f"'{row.name}' is there twice; ids are never used again.")
            seen.add(row.name)
