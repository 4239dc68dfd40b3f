"""A worked example of a rule: facts that make it fire, and a near miss that does not."""

from dataclasses import dataclass

from rules.model import CaseFacts
from rules.terms import (
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    Quarantine,
    Risk,
    RuleId,
    SignalWord,
    TransportClass,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """The whole outcome of the finding in a hit."""

    consequence: Consequence
    likelihood: Likelihood
    risk: Risk
    hv_flag: HvFlag
    signal_word: SignalWord
    disposition: Disposition

    def covers(self, milder: "Expected") -> bool:
        """Tell whether nothing here is less than in ``milder``."""
        return (
            self.consequence <= milder.consequence
            and self.likelihood <= milder.likelihood
            and self.risk >= milder.risk
            and self.hv_flag >= milder.hv_flag
            and self.signal_word >= milder.signal_word
            and self.disposition >= milder.disposition
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedCase:
    """The outcome of the whole car in a hit. ``risk`` None is "not assessed"."""

    risk: Risk | None
    hv_flag: HvFlag
    signal_word: SignalWord
    quarantine: Quarantine
    transport: TransportClass


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedResidual:
    """What remains of the finding in a hit about evidence."""

    likelihood: Likelihood
    risk: Risk
    disposition: Disposition

    def covers(self, milder: "ExpectedResidual") -> bool:
        """Tell whether no part of it is less than in ``milder``."""
        return (
            self.likelihood <= milder.likelihood
            and self.risk >= milder.risk
            and self.disposition >= milder.disposition
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceExample:
    """One row of evidence, counted and just not counted; the finding asked about is the first."""

    rule: RuleId
    hit: CaseFacts
    miss: CaseFacts
    expect: ExpectedResidual


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One rule, fired and just not fired. The finding asked about is the first of each case.

    ``expect`` is what the finding gives, ``expect_case`` what the car gives; the first is None for
    a rule about the whole car, the second for a rule about a finding.
    """

    rule: RuleId
    hit: CaseFacts
    miss: CaseFacts
    expect: Expected | None
    expect_case: ExpectedCase | None = None
