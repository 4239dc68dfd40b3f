"""The outcome of the case itself: overall risk, stop conditions, quarantine, transport class.

Worst of the findings and of the warning signs. A sign that nobody asked for is never milder than
one that was answered with no, and no answer here releases anything.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.case_answer import CaseAssessment, QuarantineAdvice, TransportAdvice
from rules.case_rule import CaseRule, LevelT
from rules.condition import Selector
from rules.model import Assessment, Reason, VehicleFacts
from rules.rule import StopRule
from rules.rulebook import Rulebook
from rules.seen import Seen
from rules.tally import Tally
from rules.terms import FactsError, Quarantine, Risk, RuleId, TransportClass, in_words


def case_outcome(
    vehicle: VehicleFacts,
    seen: Sequence[Seen],
    findings: tuple[Assessment, ...],
    book: Rulebook,
) -> CaseAssessment:
    """Return what the book says of the whole case. FactsError for a sign it does not know."""
    stops = _stops(vehicle, book)
    tally = _tally(stops, findings)
    findings_risk = max([finding.risk for finding in findings], default=None)
    risk, decided_by = _risk(stops, findings_risk, book)
    car = _Car(vehicle, seen, _said(vehicle, book))
    return CaseAssessment(
        findings=findings,
        risk=risk,
        findings_risk=findings_risk,
        decided_by=decided_by,
        hv_flag=tally.hv_flag,
        signal_word=tally.signal_word,
        actions=book.actions_in_order(tally.actions | book.safing_actions[tally.hv_flag]),
        open_tests=book.tests_in_order(tally.tests),
        stop_conditions=tuple([stop.reason for stop in stops]),
        quarantine=_quarantine(car, book),
        transport=_transport(car, book),
        stamp=book.stamp,
    )


def _risk(
    stops: Sequence[StopRule], findings_risk: Risk | None, book: Rulebook
) -> tuple[Risk | None, tuple[RuleId, ...]]:
    """Return the overall risk, and the sign rules that set it where no finding did."""
    if findings_risk is None and not any(stop.answer for stop in stops):
        return None, ()
    of_signs = {stop.id: _risk_of(stop, book) for stop in stops}
    worst = max(of_signs.values(), default=Risk.ELIMINATED)
    if findings_risk is not None and findings_risk >= worst:
        return findings_risk, ()
    return worst, tuple([rule_id for rule_id, risk in of_signs.items() if risk is worst])


def _stops(vehicle: VehicleFacts, book: Rulebook) -> list[StopRule]:
    for name in vehicle.signs:
        if name not in book.signs:
            raise FactsError(f"The rule book knows no warning sign '{name}'.")
    return [
        rule for rule in book.stop_rules.values() if vehicle.signs.get(rule.sign) is rule.answer
    ]


def signs_risk(case: CaseAssessment, book: Rulebook) -> Risk:
    """Return the worst that the warning signs of an assessed case say by themselves."""
    stops = [book.stop_rules[reason.rule_id] for reason in case.stop_conditions]
    return max([_risk_of(stop, book) for stop in stops], default=Risk.ELIMINATED)


def _tally(stops: Sequence[StopRule], findings: Sequence[Assessment]) -> Tally:
    tally = Tally()
    for stop in stops:
        tally.add(stop.then)
    for finding in findings:
        tally.hv_flag = max(tally.hv_flag, finding.hv_flag)
        tally.signal_word = max(tally.signal_word, finding.signal_word)
        tally.actions.update([action.id for action in finding.actions])
        tally.tests.update([test.id for test in finding.open_tests])
    return tally


def _risk_of(stop: StopRule, book: Rulebook) -> Risk:
    tally = Tally()
    tally.add(stop.then)
    return book.risk_matrix[tally.worst_consequence, tally.worst_likelihood]


@dataclass(frozen=True, slots=True)
class _Car:
    """What the case rules ask of: the car and everything found on it.

    ``said`` holds the signs by their answer, those without answer under None.
    """

    vehicle: VehicleFacts
    seen: Sequence[Seen]
    said: Mapping[bool | None, frozenset[str]]


def _said(vehicle: VehicleFacts, book: Rulebook) -> Mapping[bool | None, frozenset[str]]:
    given = [(sign, vehicle.signs.get(sign)) for sign in book.signs]
    return {
        answer: frozenset([sign for sign, said in given if said is answer])
        for answer in (True, None)
    }


def _quarantine(car: _Car, book: Rulebook) -> QuarantineAdvice:
    fired = _fired(car, book.quarantine_rules)
    level, decided_by = _strictest(fired, Quarantine.NOT_ASKED)
    words = book.quarantine_levels[level]
    return QuarantineAdvice(
        level=level,
        label=words.label,
        text=words.text,
        citations=words.citations,
        reasons=tuple([reason for _, reason in fired]),
        decided_by=decided_by,
    )


def _transport(car: _Car, book: Rulebook) -> TransportAdvice:
    fired = _fired(car, book.transport_rules)
    level, decided_by = _strictest(fired, TransportClass.EXPERT_DECIDES)
    words = book.transport_classes[level]
    return TransportAdvice(
        transport_class=level,
        label=words.label,
        text=words.text,
        packing=words.packing,
        un_numbers=book.un_numbers,
        citations=words.citations,
        reasons=tuple([reason for _, reason in fired]),
        decided_by=decided_by,
    )


def _strictest(
    fired: Iterable[tuple[CaseRule[LevelT], Reason]], mildest: LevelT
) -> tuple[LevelT, tuple[RuleId, ...]]:
    rules = [rule for rule, _ in fired]
    level = max([mildest, *[rule.then for rule in rules]])
    return level, tuple([rule.id for rule in rules if rule.then is level])


def _fired(
    car: _Car, rules: Mapping[RuleId, CaseRule[LevelT]]
) -> list[tuple[CaseRule[LevelT], Reason]]:
    return [(rule, reason) for rule in rules.values() if (reason := _why(rule, car)) is not None]


def _why(rule: CaseRule[LevelT], car: _Car) -> Reason | None:
    """Return why the rule fires on this car, or None."""
    if rule.signs:
        found = rule.signs & car.said[rule.answer]
        return _because_of_signs(rule, sorted(found)) if found else None
    if rule.finding is not None:
        return _because_of_findings(rule, car.seen)
    if car.vehicle.battery_seen_whole is True:
        return None
    return _reason(rule, ("nobody recorded the whole battery as seen",), ("battery_seen_whole",))


def _because_of_signs(rule: CaseRule[LevelT], found: Sequence[str]) -> Reason:
    word = "yes" if rule.answer else "not known"
    facts = tuple([f"{in_words(sign)}: {word}" for sign in found])
    return _reason(rule, facts, () if rule.answer else tuple(found))


def _because_of_findings(rule: CaseRule[LevelT], seen: Sequence[Seen]) -> Reason | None:
    found = [one for one in seen if _may_be(rule.finding, one)]
    if not found:
        return None
    words = sorted({f"{one.component.label} ({one.damage.label.lower()})" for one in found})
    ids = tuple(sorted(one.facts.finding_id for one in found))
    return _reason(rule, ("found: " + ", ".join(words),), (), ids)


def _may_be(selector: Selector | None, one: Seen) -> bool:
    # The damage first: most selectors are decided by it.
    return (
        selector is not None
        and selector.may_be_damage(one.damage)
        and selector.may_be_part(one.component)
    )


def _reason(
    rule: CaseRule[LevelT],
    facts: tuple[str, ...],
    unmeasured: tuple[str, ...],
    with_findings: tuple[str, ...] = (),
) -> Reason:
    return Reason(
        rule_id=rule.id,
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        unmeasured=unmeasured,
        facts=facts,
        with_findings=with_findings,
    )
