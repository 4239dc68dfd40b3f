"""evidence.toml -> EvidenceBook, strictly: a row that could lower more than it may is refused."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from rules.condition import Selector
from rules.evidence_rule import EvidenceBook, EvidenceRule, Given, Remains
from rules.model import Component, DamageType
from rules.reading.judgements import (
    DISPOSITIONS,
    Words,
    refuse_unreachable,
    refuse_unsourced,
    rule_id_of,
    selector_of,
)
from rules.reading.rows import Row, list_of_rows
from rules.reading.words import Document, cited
from rules.rule import Rule
from rules.terms import MAKER_CRITERION, Basis, Disposition, Likelihood, OpenTestId, RuleId

FILE = "evidence.toml"
PREFIX = "EVD"
_NEVER_BY_TEST = {"heat": "shows an arc or burn", "opened": "is cut, holed or broken at HV"}


class EvidenceReader:
    """Reads the table of evidence against the words and rules of one book."""

    def __init__(self, words: Words, rules: Mapping[RuleId, Rule]) -> None:
        self._words = words
        self._rules = rules
        self._with_old_part: frozenset[RuleId] = frozenset()
        self._tests_of_old_part: frozenset[OpenTestId] = frozenset()

    def read(self, document: Document) -> EvidenceBook:
        """Return the table; RulebookError names row and field of what is not allowed."""
        rows = list_of_rows(FILE, document, "rule", "id")
        top = Row(FILE, "evidence", document)
        top.take("rule")
        self._with_old_part = self._named_rules(top, "with_old_part")
        self._tests_of_old_part = self._named_tests(top, "tests_of_old_part")
        book = EvidenceBook(
            rules=tuple(sorted([self._rule(row) for row in rows], key=lambda rule: rule.id)),
            replacement_only=self._named_rules(top, "replacement_only"),
            by_facts=self._named_rules(top, "by_facts"),
            tests_by_facts=self._named_tests(top, "tests_by_facts"),
        )
        top.finish()
        top.known(MAKER_CRITERION, (MAKER_CRITERION,), self._words.open_tests)
        return book

    def _named_rules(self, row: Row, field: str) -> frozenset[RuleId]:
        names = row.texts(field, optional=True)
        row.known(field, names, self._rules)
        return frozenset(RuleId(name) for name in names)

    def _named_tests(self, row: Row, field: str) -> frozenset[OpenTestId]:
        names = row.texts(field, optional=True)
        row.known(field, names, self._words.open_tests)
        return frozenset(OpenTestId(name) for name in names)

    def _rule(self, row: Row) -> EvidenceRule:
        when, then = row.table("when"), row.table("then")
        rule = EvidenceRule(
            id=rule_id_of(row, PREFIX),
            table=FILE,
            selector=selector_of(when, self._words),
            given=self._given(row.table("given")),
            answers=self._named_rules(row, "answers"),
            of_old_part=self._named_tests(row, "of_old_part"),
            then=read_remains(then),
            because=row.text("because"),
            basis=row.word("basis", Basis),
            cites=row.texts("cites", optional=True),
            citations=cited(row, self._words.facts),
        )
        for table in (when, then, row):
            table.finish()
        refuse_unsourced(row, rule.basis, rule.citations)
        refuse_unreachable(row, "when", rule.selector, self._words)
        _refuse_mixed(row, rule)
        for answered in sorted(rule.answers):
            self._refuse_answer(row, rule, self._rules[answered])
        return self._with_what_goes(rule) if rule.given.replaced else rule

    def _with_what_goes(self, rule: EvidenceRule) -> EvidenceRule:
        """Add to a row about a part replaced the rules and tests that go with any old part."""
        going = {
            one
            for one in self._with_old_part
            if _leaves_less(rule.then, self._rules[one])
            and any(self._pairs(rule.selector, self._rules[one].selector))
        }
        return replace(
            rule,
            answers=rule.answers | going,
            of_old_part=rule.of_old_part | (self._tests_of_old_part - rule.given.met),
        )

    def _given(self, row: Row) -> Given:
        given = Given(
            met=self._named_tests(row, "met"),
            replaced=row.flag("replaced") if row.has("replaced") else False,
            not_met=self._named_tests(row, "not_met"),
            any_not_met=row.flag("any_not_met") if row.has("any_not_met") else False,
            instruction=row.pick("instruction", DISPOSITIONS) if row.has("instruction") else None,
        )
        row.finish()
        lowers = bool(given.met) or given.replaced
        raises = bool(given.not_met), given.any_not_met, given.instruction is not None
        if [lowers, *raises].count(True) != 1:
            raise row.fault("given", "needs met or replaced, or one of the words that raise.")
        return given

    def _refuse_answer(self, row: Row, rule: EvidenceRule, answered: Rule) -> None:
        """Refuse to answer a rule that never meets the row, or with nothing less than it asks."""
        pairs = list(self._pairs(rule.selector, answered.selector))
        if not pairs:
            raise row.fault("answers", f"{answered.id} speaks of no part and damage of this row.")
        if not _leaves_less(rule.then, answered):
            raise row.fault("then", f"leaves no less than {answered.id} asks for.")
        if not rule.given.replaced:
            _refuse_by_test(row, rule, answered, pairs)

    def _pairs(self, one: Selector, other: Selector) -> Iterator[tuple[Component, DamageType]]:
        for part in self._words.components.values():
            for damage in self._words.damage_types.values():
                if all(s.takes_part(part) and s.takes_damage(damage) for s in (one, other)):
                    yield part, damage


def read_remains(then: Row) -> Remains:
    """Return what a row leaves; None for what it does not speak of."""
    return Remains(
        likelihood=then.word("likelihood", Likelihood) if then.has("likelihood") else None,
        disposition=then.pick("disposition", DISPOSITIONS) if then.has("disposition") else None,
    )


def _refuse_mixed(row: Row, rule: EvidenceRule) -> None:
    lowers = bool(rule.given.met) or rule.given.replaced
    if rule.then == Remains():
        raise row.fault("then", "says nothing.")
    if lowers is not bool(rule.answers) and not rule.given.replaced:
        raise row.fault(
            "answers",
            "must name the rules that it answers."
            if lowers
            else "a row that raises answers nothing.",
        )
    if rule.of_old_part and not rule.given.replaced:
        raise row.fault("of_old_part", "a test goes with the old part only when it was replaced.")
    if rule.of_old_part & rule.given.met:
        raise row.fault("of_old_part", "names a test that is asked for under met.")
    if rule.then.likelihood is Likelihood.F and not rule.given.replaced:
        raise row.fault("likelihood", "F is reached only where the part was replaced.")


def _leaves_less(then: Remains, answered: Rule) -> bool:
    asked = answered.then
    less_likely = (
        then.likelihood is not None
        and asked.likelihood is not None
        and then.likelihood > asked.likelihood
    )
    less_work = (
        then.disposition is not None
        and asked.disposition is not None
        and then.disposition < asked.disposition
    )
    return less_likely or less_work


def _refuse_by_test(
    row: Row, rule: EvidenceRule, answered: Rule, pairs: list[tuple[Component, DamageType]]
) -> None:
    """Refuse a mere test where only the part replaced takes the hazard away."""
    if any(check.key == "conductor_visible" for check in answered.checks):
        raise row.fault("answers", f"{answered.id} is about a bare conductor: no test answers it.")
    for part, damage in pairs:
        if damage.family == "heat" or (damage.family == "opened" and part.is_hv):
            raise row.fault(
                "answers",
                f"{answered.id} with {part.id}/{damage.id}, which {_NEVER_BY_TEST[damage.family]}: "
                "only the part replaced answers it.",
            )
    work = answered.then.disposition
    if rule.then.disposition is None or work is None:
        return
    if work is Disposition.REPLACE:
        raise row.fault("answers", f"{answered.id} asks to replace: no test answers it.")
    if work is Disposition.REPAIR and MAKER_CRITERION not in rule.given.met:
        raise row.fault(
            "answers", f"{answered.id} asks for a repair: only the maker's criterion lets it be."
        )
