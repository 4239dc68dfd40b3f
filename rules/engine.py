"""Facts in, assessment out: the worst of all rules that fire, and the union of what they ask for.

Pure: no clock, disk, chance or language. Same facts and same book, same answer.
"""

from collections.abc import Iterable, Sequence

from rules.firing import Fired, fired_alone, fired_together
from rules.model import (
    Action,
    ActionId,
    Assessment,
    CaseAssessment,
    CaseFacts,
    Consequence,
    Disposition,
    FactsError,
    HvFlag,
    Likelihood,
    OpenTest,
    OpenTestId,
    Reason,
    RuleId,
    SignalWord,
    VehicleFacts,
)
from rules.rule import StopRule
from rules.rulebook import Rulebook
from rules.seen import Seen, see


def assess(facts: CaseFacts, rulebook: Rulebook) -> CaseAssessment:
    """Return what the book says of every finding and of the whole case.

    Raises FactsError for a warning sign that the book does not know.
    """
    seen = [see(finding, facts.vehicle, rulebook.vocabulary) for finding in facts.findings]
    together = fired_together(seen, rulebook.combinations)
    findings = tuple(
        _assess_one(one, [*fired_alone(one, rulebook.candidates), *more], rulebook)
        for one, more in zip(seen, together, strict=True)
    )
    stops = [
        rule
        for rule in rulebook.stop_rules.values()
        if _answer(facts.vehicle, rule.sign, rulebook) is rule.answer
    ]
    return _assess_case(findings, stops, rulebook)


def _assess_one(seen: Seen, fired: Sequence[Fired], book: Rulebook) -> Assessment:
    fired = sorted(fired, key=lambda one: one.rule.id)
    consequence = _worst_consequence(fired)
    likelihood = _worst_likelihood(fired)
    hv_flag = max((one.rule.then.hv_flag or HvFlag.NONE for one in fired), default=HvFlag.NONE)
    return Assessment(
        finding_id=seen.facts.finding_id,
        consequence=consequence,
        likelihood=likelihood,
        risk=book.risk_matrix[consequence, likelihood],
        hv_flag=hv_flag,
        hv_reasons=_hv_reasons(fired),
        signal_word=_signal_word(fired, consequence, hv_flag, book),
        disposition=_disposition(fired),
        actions=_actions(
            book,
            book.safing_actions[hv_flag].union(*(one.rule.then.actions for one in fired)),
        ),
        open_tests=_tests(book, set[OpenTestId]().union(*(f.rule.then.tests for f in fired))),
        reasons=tuple(one.reason for one in fired),
        decided_by=_decided_by(fired, consequence, likelihood),
    )


def _worst_consequence(fired: Sequence[Fired]) -> Consequence:
    """Return the worst category asked for; the worst of all if the book is silent."""
    asked = [one.rule.then.consequence for one in fired if one.rule.then.consequence is not None]
    return min(asked, default=Consequence.CATASTROPHIC)


def _worst_likelihood(fired: Sequence[Fired]) -> Likelihood:
    asked = [one.rule.then.likelihood for one in fired if one.rule.then.likelihood is not None]
    return min(asked, default=Likelihood.A)


def _disposition(fired: Sequence[Fired]) -> Disposition:
    asked = [one.rule.then.disposition for one in fired if one.rule.then.disposition is not None]
    return max(asked, default=Disposition.TEST_FIRST)


def _hv_reasons(fired: Sequence[Fired]) -> tuple[Reason, ...]:
    flagged = [one for one in fired if one.rule.then.hv_flag is not None]
    flagged.sort(key=lambda one: -(one.rule.then.hv_flag or 0))
    return tuple(one.reason for one in flagged)


def _signal_word(
    fired: Sequence[Fired], consequence: Consequence, hv_flag: HvFlag, book: Rulebook
) -> SignalWord:
    asked = [one.rule.then.signal_word for one in fired if one.rule.then.signal_word is not None]
    least = book.least_signal_word[consequence]
    for_hv = SignalWord.NOTICE if hv_flag is HvFlag.NONE else book.hv_signal_word
    return max([least, for_hv, *asked])


def _decided_by(
    fired: Sequence[Fired], consequence: Consequence, likelihood: Likelihood
) -> tuple[RuleId, ...]:
    return tuple(
        one.rule.id
        for one in fired
        if one.rule.then.consequence is consequence or one.rule.then.likelihood is likelihood
    )


def _actions(book: Rulebook, ids: Iterable[ActionId]) -> tuple[Action, ...]:
    return tuple(sorted((book.actions[one] for one in ids), key=lambda action: action.order))


def _tests(book: Rulebook, ids: Iterable[OpenTestId]) -> tuple[OpenTest, ...]:
    return tuple(sorted((book.open_tests[one] for one in ids), key=lambda test: test.id))


def _answer(vehicle: VehicleFacts, sign: str, book: Rulebook) -> bool | None:
    known = {rule.sign for rule in book.stop_rules.values()}
    for name in vehicle.signs:
        if name not in known:
            raise FactsError(f"The rule book knows no warning sign '{name}'.")
    return vehicle.signs.get(sign)


def _assess_case(
    findings: tuple[Assessment, ...], stops: Sequence[StopRule], book: Rulebook
) -> CaseAssessment:
    flags = [finding.hv_flag for finding in findings]
    flags += [stop.then.hv_flag or HvFlag.NONE for stop in stops]
    hv_flag = max(flags, default=HvFlag.NONE)
    words = [finding.signal_word for finding in findings]
    words += [stop.then.signal_word or SignalWord.NOTICE for stop in stops]
    actions = {action.id for finding in findings for action in finding.actions}
    actions |= book.safing_actions[hv_flag]
    tests = {test.id for finding in findings for test in finding.open_tests}
    return CaseAssessment(
        findings=findings,
        risk=max((finding.risk for finding in findings), default=None),
        hv_flag=hv_flag,
        signal_word=max(words, default=SignalWord.NOTICE),
        actions=_actions(book, actions.union(*(stop.then.actions for stop in stops))),
        open_tests=_tests(book, tests.union(*(stop.then.tests for stop in stops))),
        stop_conditions=tuple(_stop_reason(stop) for stop in stops),
        stamp=book.stamp,
    )


def _stop_reason(stop: StopRule) -> Reason:
    return Reason(
        rule_id=stop.id,
        because=stop.because,
        basis=stop.basis,
        citations=stop.citations,
        unmeasured=() if stop.answer else (stop.sign,),
        facts=(f"{stop.sign}: {'yes' if stop.answer else 'not known'}",),
    )
