"""Which of the rules that fired decided what: the why of each answer, taken apart."""

from collections.abc import Callable
from dataclasses import dataclass

from rules.model import Assessment, Reason
from rules.rule import Outcome
from rules.rulebook import Rulebook
from rules.terms import HvFlag

_Asks = Callable[[Outcome], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Deciding:
    """The reasons behind each answer about one finding.

    A rule that decided two answers stands under both. Empty where no rule asked for an answer: the
    worst then counts. ``others`` fired too and decided nothing, since something worse did.
    """

    consequence: tuple[Reason, ...]
    likelihood: tuple[Reason, ...]
    hv_flag: tuple[Reason, ...]
    repair: tuple[Reason, ...]
    others: tuple[Reason, ...]


def deciding(assessment: Assessment, rulebook: Rulebook) -> Deciding:
    """Return what decided each answer, by the rules of the book that gave the assessment."""

    def that(asks: _Asks) -> tuple[Reason, ...]:
        return tuple(
            reason
            for reason in assessment.reasons
            if reason.rule_id in rulebook.rules and asks(rulebook.rules[reason.rule_id].then)
        )

    consequence = that(lambda then: then.consequence is assessment.consequence)
    likelihood = that(lambda then: then.likelihood is assessment.likelihood)
    repair = tuple(
        reason for reason in assessment.reasons if reason.rule_id in assessment.repair_decided_by
    )
    flag = assessment.hv_reasons if assessment.hv_flag is not HvFlag.NONE else ()
    told = {reason.rule_id for reason in (*consequence, *likelihood, *repair, *flag)}
    return Deciding(
        consequence=consequence,
        likelihood=likelihood,
        hv_flag=flag,
        repair=repair,
        others=tuple(reason for reason in assessment.reasons if reason.rule_id not in told),
    )
