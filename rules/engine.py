"""Facts in, assessment out: the worst of all rules that fire, and the union of what they ask for.

Pure: no clock, disk, chance or language. Same facts and same book, same answer.
"""

from collections.abc import Sequence

from rules.case_answer import CaseAssessment
from rules.case_outcome import case_outcome
from rules.firing import fired_alone, fired_together
from rules.model import Assessment, CaseFacts
from rules.rule import Fired
from rules.rulebook import Rulebook
from rules.second_pass import Judged, with_residual_case, with_residuals
from rules.seen import Seen, see
from rules.tally import Tally
from rules.terms import Consequence, HvFlag, Likelihood, RuleId


def assess(facts: CaseFacts, rulebook: Rulebook) -> CaseAssessment:
    """Return what the book says of every finding and of the whole case.

    Raises FactsError for a warning sign that the book does not know.
    """
    seen = [see(finding, facts.vehicle, rulebook.vocabulary) for finding in facts.findings]
    together = fired_together(seen, rulebook.pairs, rulebook.vocabulary)
    judged = [
        judge(one, fired_alone(one, rulebook.pairs), more, rulebook)
        for one, more in zip(seen, together, strict=True)
    ]
    findings = with_residuals(judged, facts.evidence, rulebook)
    case = case_outcome(facts.vehicle, seen, findings, rulebook)
    return with_residual_case(case, facts.evidence, rulebook)


def judge(one: Seen, alone: list[Fired], together: list[Fired], book: Rulebook) -> Judged:
    """Return the first answer about a finding on which these rules fired, with the rules."""
    fired = _by_rule(alone, together)
    return Judged(one, fired, _assess_one(one.facts.finding_id, fired, book))


def _assess_one(finding_id: str, fired: list[Fired], book: Rulebook) -> Assessment:
    tally = Tally()
    for one in fired:
        tally.add(one.then)
    consequence, likelihood = tally.worst_consequence, tally.worst_likelihood
    return Assessment(
        finding_id=finding_id,
        consequence=consequence,
        likelihood=likelihood,
        risk=book.risk_matrix[consequence, likelihood],
        hv_flag=tally.hv_flag,
        hv_reasons=tuple([one.reason for one in _flagging(fired)]),
        signal_word=book.signal_word(tally.signal_word, consequence, tally.hv_flag),
        disposition=tally.most_work,
        actions=book.actions_in_order(tally.actions | book.safing_actions[tally.hv_flag]),
        open_tests=book.tests_in_order(tally.tests),
        reasons=tuple([one.reason for one in fired]),
        decided_by=_decided_by(fired, consequence, likelihood),
        repair_decided_by=tuple(
            [one.reason.rule_id for one in fired if one.then.disposition is tally.disposition]
            if tally.disposition is not None
            else []
        ),
    )


def _by_rule(alone: list[Fired], together: list[Fired]) -> list[Fired]:
    if not together:
        return alone
    return sorted(alone + together, key=lambda one: one.reason.rule_id)


def _flagging(fired: Sequence[Fired]) -> list[Fired]:
    """Return what raised the HV flag, the nearer degree first."""
    at_hv = [one for one in fired if one.then.hv_flag is HvFlag.AT_HV]
    return at_hv + [one for one in fired if one.then.hv_flag is HvFlag.WITHIN_REACH]


def _decided_by(
    fired: Sequence[Fired], consequence: Consequence, likelihood: Likelihood
) -> tuple[RuleId, ...]:
    return tuple(
        [
            one.reason.rule_id
            for one in fired
            if one.then.consequence is consequence or one.then.likelihood is likelihood
        ]
    )
