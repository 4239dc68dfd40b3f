"""A worked example of a rule: facts that make it fire, and a near miss that does not."""

from dataclasses import dataclass

from rules.model import CaseFacts
from rules.terms import Consequence, Disposition, HvFlag, Likelihood, Risk, RuleId, SignalWord


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """The whole outcome of the finding in a hit."""

    consequence: Consequence
    likelihood: Likelihood
    risk: Risk
    hv_flag: HvFlag
    signal_word: SignalWord
    disposition: Disposition


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One rule, fired and just not fired. The finding asked about is the first of each case.

    ``expect`` is None for a rule about the whole car.
    """

    rule: RuleId
    hit: CaseFacts
    miss: CaseFacts
    expect: Expected | None
