"""Proof that the rows fit together: examples fire, limits are those cited, nothing is idle."""

from collections.abc import Iterable, Iterator

from rules.case_answer import CaseAssessment
from rules.engine import assess
from rules.example import Example, Expected, ExpectedCase
from rules.model import Assessment
from rules.rulebook import Rulebook
from rules.terms import Origin, RuleId

# A limit in a rule must be the value of the fact that it cites, in these units.
_UNIT_OF_LIMIT = {"hv_within_mm": ("m", 1000.0), "voltage_v_over": ("V DC", 1.0)}


def wiring_faults(book: Rulebook) -> tuple[str, ...]:
    """Return one sentence for each loose end of the book."""
    return (
        *_example_faults(book),
        *_limit_faults(book),
        *_idle_faults(book),
        *_safing_faults(book),
    )


def _example_faults(book: Rulebook) -> Iterator[str]:
    shown = {example.rule for example in book.examples}
    excused = () if book.overlay is None else book.overlay.without_example
    for rule_id in sorted(set(book.rule_ids) - shown - set(excused)):
        yield f"{rule_id}: has no example; nothing shows that it can fire."
    for example in book.examples:
        hit, miss = assess(example.hit, book), assess(example.miss, book)
        if example.rule not in fired_rules(hit) and not _is_under_overlay(example.rule, book):
            yield f"{example.rule}: its example does not fire it."
        if example.rule in fired_rules(miss) and not _is_under_overlay(example.rule, book):
            yield f"{example.rule}: its near miss fires it."
        yield from _outcome_faults(example, hit, book)


def fired_rules(assessment: CaseAssessment) -> frozenset[RuleId]:
    """Return the rules that fired on the first finding or on the case."""
    first = assessment.findings[0].reasons if assessment.findings else ()
    of_car = assessment.quarantine.reasons + assessment.transport.reasons
    return frozenset(reason.rule_id for reason in (*first, *assessment.stop_conditions, *of_car))


def _outcome_faults(example: Example, hit: CaseAssessment, book: Rulebook) -> Iterator[str]:
    if example.expect is not None:
        found = outcome_of(hit.findings[0])
        if found != example.expect and not _is_tightened(example, found, book):
            gives, wanted = _words(found), _words(example.expect)
            yield f"{example.rule}: its example gives {gives}, not {wanted}."
    if example.expect_case is not None:
        of_car = case_outcome_of(hit)
        if of_car != example.expect_case and not _is_under_overlay(example.rule, book):
            gives, wanted = _case_words(of_car), _case_words(example.expect_case)
            yield f"{example.rule}: its example gives {gives}, not {wanted}."


def _is_under_overlay(rule_id: RuleId, book: Rulebook) -> bool:
    """Tell whether a rule is ours, in a book that a shop has made stricter.

    High voltage that the shop says is there too may make a near miss of ours fire, or one row of
    ours speak in the place of another. Our examples are checked to the letter on the book alone.
    """
    if book.overlay is None:
        return False
    if rule_id in book.stop_rules:
        return book.stop_rules[rule_id].reason.origin is Origin.BOOK
    return rule_id not in book.rules or book.rules[rule_id].origin is Origin.BOOK


def _is_tightened(example: Example, found: Expected, book: Rulebook) -> bool:
    """Tell whether an example of ours gives no less, as it may under a shop's stricter rules."""
    if example.expect is None or not _is_under_overlay(example.rule, book):
        return False
    return found.covers(example.expect)


def outcome_of(assessment: Assessment) -> Expected:
    """Return the outcome of a finding as examples state it."""
    return Expected(
        consequence=assessment.consequence,
        likelihood=assessment.likelihood,
        risk=assessment.risk,
        hv_flag=assessment.hv_flag,
        signal_word=assessment.signal_word,
        disposition=assessment.disposition,
    )


def _words(outcome: Expected) -> str:
    names = (
        outcome.consequence.name,
        outcome.likelihood.name,
        outcome.risk.name,
        outcome.hv_flag.name,
        outcome.signal_word.name,
        outcome.disposition.name,
    )
    return " ".join(name.lower() for name in names)


def case_outcome_of(case: CaseAssessment) -> ExpectedCase:
    """Return the outcome of the car as examples state it."""
    return ExpectedCase(
        risk=case.risk,
        hv_flag=case.hv_flag,
        signal_word=case.signal_word,
        quarantine=case.quarantine.level,
        transport=case.transport.transport_class,
    )


def _case_words(outcome: ExpectedCase) -> str:
    risk = "not assessed" if outcome.risk is None else outcome.risk.name
    names = (
        risk,
        outcome.hv_flag.name,
        outcome.signal_word.name,
        outcome.quarantine.name,
        outcome.transport.name,
    )
    return " ".join(name.lower() for name in names)


def _limit_faults(book: Rulebook) -> Iterator[str]:
    for rule in book.rules.values():
        for key, (unit, factor) in _UNIT_OF_LIMIT.items():
            cited = [book.facts[one].value for one in rule.cites if book.facts[one].unit == unit]
            for check in rule.checks:
                if check.key == key and cited and check.limit not in _scaled(cited, factor):
                    yield f"{rule.id}: {key} {check.limit:g} is not the value that it cites."


def _scaled(values: Iterable[float | None], factor: float) -> list[float]:
    return [value * factor for value in values if value is not None]


def _idle_faults(book: Rulebook) -> Iterator[str]:
    outcomes = [rule.then for rule in book.rules.values()]
    outcomes += [rule.then for rule in book.stop_rules.values()]
    wanted_actions = {action for then in outcomes for action in then.actions}
    wanted_tests = {test for then in outcomes for test in then.tests}
    for action in book.actions.values():
        if not action.is_safing and action.id not in wanted_actions:
            yield f"{action.id}: no rule asks for this action."
    for test in book.open_tests.values():
        if test.id not in wanted_tests:
            yield f"{test.id}: no rule asks for this test."
    cited = set(_cited_sources(book))
    for source in book.sources:
        if source not in cited:
            yield f"{source}: nothing cites this source."


def _cited_sources(book: Rulebook) -> Iterator[str]:
    yield book.risk_citation.source
    for fact in book.facts.values():
        yield fact.citation.source


def _safing_faults(book: Rulebook) -> Iterator[str]:
    for example in book.examples:
        for finding in assess(example.hit, book).findings:
            given = {action.id for action in finding.actions}
            if not book.safing_actions[finding.hv_flag] <= given:
                yield f"{example.rule}: a flagged finding lacks a mandatory safing action."
