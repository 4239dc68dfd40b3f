"""Tables of rules -> Rule and StopRule, strictly: a row that cannot fire is refused."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rules.condition import MET, QUESTIONS, Check, Selector
from rules.model import Action, Component, DamageType, OpenTest, Reason
from rules.reading.rows import Row, rows_of
from rules.reading.words import CONSEQUENCES, HV_FLAGS, SIGNAL_WORDS, Document, cited
from rules.rule import Beside, Nearness, Outcome, Rule, StopRule
from rules.rulebook import Fact
from rules.terms import (
    MAX_SYSTEM_VOLTAGE_V,
    ActionId,
    Basis,
    ComponentId,
    DamageId,
    Disposition,
    Likelihood,
    OpenTestId,
    Role,
    RulebookError,
    RuleId,
    in_words,
)

PREFIXES = {
    "consequence.toml": "CON",
    "likelihood.toml": "LIK",
    "hv_flag.toml": "HVF",
    "danger.toml": "DNG",
    "repair.toml": "REP",
    "combination.toml": "CMB",
}
STOP_PREFIX = "STP"
DISPOSITIONS = {
    "monitor": Disposition.MONITOR,
    "clean and protect": Disposition.CLEAN_AND_PROTECT,
    "repair": Disposition.REPAIR,
    "test first": Disposition.TEST_FIRST,
    "replace": Disposition.REPLACE,
}
ANSWERS = {"yes": True, "unknown": None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The vocabulary that rules may name."""

    components: Mapping[ComponentId, Component]
    damage_types: Mapping[DamageId, DamageType]
    actions: Mapping[ActionId, Action]
    open_tests: Mapping[OpenTestId, OpenTest]
    facts: Mapping[str, Fact]


def read_rules(documents: Mapping[str, Document], words: Words) -> Mapping[RuleId, Rule]:
    """Return the rules of every table by id; RulebookError names file, row and field."""
    rules: dict[RuleId, Rule] = {}
    for file, prefix in PREFIXES.items():
        for row in rows_of(file, documents[file], "rule", "id"):
            rule = read_rule(row, words, prefix, stands_beside=prefix == "CMB")
            rules[rule.id] = rule
    refuse_dangling(rules)
    refuse_doubles(rules.values())
    return rules


def read_stop_rules(document: Document, words: Words) -> Mapping[RuleId, StopRule]:
    """Return what the warning signs mean; each sign needs its row for yes and for unknown."""
    rules: dict[RuleId, StopRule] = {}
    answered: set[tuple[str, bool | None]] = set()
    for row in rows_of("stop_signs.toml", document, "rule", "id"):
        rule = read_stop_rule(row, words)
        if (rule.sign, rule.answer) in answered:
            raise row.fault("answer", f"'{rule.sign}' has this answer already.")
        answered.add((rule.sign, rule.answer))
        rules[rule.id] = rule
    for sign, answer in sorted(answered, key=str):
        if (sign, None if answer else True) not in answered:
            raise RulebookError(f"stop_signs.toml, {sign}: needs a row for yes and for unknown.")
    return rules


def read_stop_rule(row: Row, words: Words, prefix: str = STOP_PREFIX) -> StopRule:
    """Return one row about a warning sign; RulebookError names file, row and field."""
    sign, answer = row.text("sign"), row.pick("answer", ANSWERS)
    reason = Reason(
        rule_id=rule_id_of(row, prefix),
        because=row.text("because"),
        basis=row.word("basis", Basis),
        citations=cited(row, words.facts),
        unmeasured=() if answer else (sign,),
        facts=(f"{in_words(sign)}: {'yes' if answer else 'not known'}",),
    )
    then = read_outcome(row.table("then"), words)
    row.finish()
    if then.consequence is None or then.likelihood is None:
        raise row.fault("then", "a sign needs its consequence and its likelihood.")
    refuse_unsourced(row, reason.basis, reason.citations)
    return StopRule(id=reason.rule_id, sign=sign, answer=answer, then=then, reason=reason)


def read_rule(row: Row, words: Words, prefix: str, *, stands_beside: bool) -> Rule:
    """Return one row that judges a finding; RulebookError names file, row and field."""
    unknown = _unknown(row)
    when = row.table("when")
    rule = Rule(
        id=rule_id_of(row, prefix),
        table=row.file,
        selector=selector_of(when, words),
        checks=_checks(when, unknown),
        beside=_beside(row, words) if stands_beside else None,
        then=read_outcome(row.table("then"), words),
        because=row.text("because"),
        basis=row.word("basis", Basis),
        cites=row.texts("cites", optional=True),
        citations=cited(row, words.facts),
    )
    when.finish()
    row.finish()
    for key in unknown:
        if not any(check.key == key for check in rule.checks):
            raise row.fault("unknown", f"speaks of {key}, which the rule does not ask.")
    refuse_unsourced(row, rule.basis, rule.citations)
    refuse_unreachable(row, "when", rule.selector, words)
    if rule.beside is not None:
        refuse_unreachable(row, "beside", rule.beside.selector, words)
    return rule


def rule_id_of(row: Row, prefix: str) -> RuleId:
    """Return the row's id; RulebookError if it does not look like ``PREFIX-001``."""
    rule_id = row.text("id")
    start, _, number = rule_id.partition("-")
    if start != prefix or len(number) != 3 or not number.isdigit():
        raise row.fault("id", f"must look like {prefix}-001.")
    return RuleId(rule_id)


def selector_of(when: Row, words: Words) -> Selector:
    """Return which parts and damages ``when`` names; RulebookError for a word that is unknown."""
    known: dict[str, frozenset[str]] = {
        "component": frozenset(words.components),
        "group": frozenset(component.group for component in words.components.values()),
        "role": frozenset(Role),
        "damage": frozenset(words.damage_types),
        "family": frozenset(damage.family for damage in words.damage_types.values()),
    }
    named: dict[str, frozenset[str] | None] = {}
    for field, names in known.items():
        wanted = frozenset(when.some(field)) if when.has(field) else None
        when.known(field, wanted or (), names)
        named[field] = wanted
    roles = named["role"]
    return Selector(
        components=named["component"],
        groups=named["group"],
        roles=None if roles is None else frozenset(Role(role) for role in roles),
        is_hv=when.flag("is_hv") if when.has("is_hv") else None,
        hv_runs_behind=when.flag("hv_runs_behind") if when.has("hv_runs_behind") else None,
        damages=named["damage"],
        families=named["family"],
    )


def _checks(when: Row, unknown: Mapping[str, str]) -> tuple[Check, ...]:
    checks: list[Check] = []
    for key, question in QUESTIONS.items():
        if not when.has(key):
            continue
        if question.may_be_unknown and key not in unknown:
            raise when.fault(key, f"needs its entry under unknown: '{MET}' or a rule's id.")
        checks.append(
            Check(
                key=key,
                limit=_limit(when, key),
                unknown=unknown.get(key, MET),
                question=question,
            )
        )
    return tuple(checks)


def _limit(when: Row, key: str) -> float:
    if QUESTIONS[key].has_limit:
        limit = when.number(key)
        if key == "voltage_v_over" and limit >= MAX_SYSTEM_VOLTAGE_V:
            raise when.fault(
                key, f"must be below {MAX_SYSTEM_VOLTAGE_V:g}: no car's voltage is taken above it."
            )
        return limit
    if not when.flag(key):
        raise when.fault(key, "can only be asked for as true; leave it out otherwise.")
    return 1.0


def _unknown(row: Row) -> dict[str, str]:
    if not row.has("unknown"):
        return {}
    table = row.table("unknown")
    entries = {key: table.text(key) for key in QUESTIONS if table.has(key)}
    table.finish()
    return entries


def _beside(row: Row, words: Words) -> Beside:
    beside = row.table("beside")
    # An unknown fact about the other finding always counts: there is no milder row to leave it to.
    unknown = dict.fromkeys(QUESTIONS, MET)
    read = Beside(
        selector=selector_of(beside, words),
        checks=_checks(beside, unknown),
        where=beside.word("where", Nearness),
        at_least=beside.whole("at_least") if beside.has("at_least") else 1,
    )
    beside.finish()
    return read


def read_outcome(then: Row, words: Words) -> Outcome:
    """Return what a row asks for; RulebookError if it asks for nothing."""
    actions = frozenset(ActionId(name) for name in then.texts("actions", optional=True))
    tests = frozenset(OpenTestId(name) for name in then.texts("tests", optional=True))
    then.known("actions", actions, words.actions)
    then.known("tests", tests, words.open_tests)
    outcome = Outcome(
        consequence=then.pick("consequence", CONSEQUENCES) if then.has("consequence") else None,
        likelihood=_likelihood(then) if then.has("likelihood") else None,
        hv_flag=then.pick("hv_flag", HV_FLAGS) if then.has("hv_flag") else None,
        disposition=then.pick("disposition", DISPOSITIONS) if then.has("disposition") else None,
        signal_word=then.pick("signal_word", SIGNAL_WORDS) if then.has("signal_word") else None,
        actions=actions,
        tests=tests,
    )
    then.finish()
    if outcome == Outcome():
        raise then.fault("then", "asks for nothing.")
    return outcome


def _likelihood(then: Row) -> Likelihood:
    level = then.word("likelihood", Likelihood)
    if level is Likelihood.F:
        raise then.fault("likelihood", "F is reached by replacing the part, never by a rule.")
    return level


def refuse_unsourced(row: Row, basis: Basis, citations: tuple[object, ...]) -> None:
    """Refuse a row that claims a regulation or standard and names none."""
    if basis in {Basis.REGULATION, Basis.STANDARD} and not citations:
        raise row.fault("cites", f"a rule on the basis '{basis.value}' must cite its source.")


def refuse_unreachable(row: Row, field: str, selector: Selector, words: Words) -> None:
    """Refuse a row that no part and damage of the book meets."""
    parts = any(selector.takes_part(part) for part in words.components.values())
    damages = any(selector.takes_damage(damage) for damage in words.damage_types.values())
    if not (parts and damages):
        raise row.fault(field, "can never fire: no part and damage of the book meets it.")


def refuse_dangling(rules: Mapping[RuleId, Rule]) -> None:
    """Refuse a row that leaves an unknown fact to a row which does not exist."""
    for rule in rules.values():
        for check in rule.checks:
            if check.unknown != MET and check.unknown not in rules:
                raise RulebookError(
                    f"{rule.table}, {rule.id}, unknown: {check.key} is left to "
                    f"'{check.unknown}', which is no rule."
                )


def refuse_doubles(rules: Iterable[Rule]) -> None:
    """Refuse a row that says what an earlier one says already."""
    seen: dict[tuple[object, ...], Rule] = {}
    for rule in rules:
        same = (rule.selector, rule.checks, rule.beside, rule.then)
        if same in seen:
            raise RulebookError(f"{rule.table}, {rule.id}, when: says the same as {seen[same].id}.")
        seen[same] = rule
