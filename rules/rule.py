"""One row of the book that judges: when it fires, and what it then asks for."""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from rules.condition import Check, Selector
from rules.model import Citation, Reason
from rules.terms import (
    ActionId,
    Basis,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    OpenTestId,
    Origin,
    RuleId,
    SignalWord,
)


class Nearness(StrEnum):
    """Where the other finding must be for a combination to fire."""

    SAME_ZONE = "same zone"
    SAME_OR_ADJACENT_ZONE = "same or adjacent zone"
    ALONG_LINE = "along one line of travel"
    ANYWHERE = "anywhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The other finding that a combination needs, and where it must be.

    ``at_least`` of them must be there. Along one line of travel, they and the finding asked about
    lie in zones that follow one another without a gap, and not all in one zone.
    """

    selector: Selector
    checks: tuple[Check, ...]
    where: Nearness
    at_least: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a rule asks for. ``None`` leaves the matter to other rules."""

    consequence: Consequence | None = None
    likelihood: Likelihood | None = None
    hv_flag: HvFlag | None = None
    disposition: Disposition | None = None
    signal_word: SignalWord | None = None
    actions: frozenset[ActionId] = frozenset()
    tests: frozenset[OpenTestId] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A row: independent of every other; results combine by the worst and by union.

    ``cites`` are the ids of the facts behind ``citations``. ``tightens`` names the row of ours from
    which a shop's stricter row was made; ours stands beside it unchanged.
    """

    id: RuleId
    table: str
    selector: Selector
    checks: tuple[Check, ...]
    beside: Beside | None
    then: Outcome
    because: str
    basis: Basis
    cites: tuple[str, ...]
    citations: tuple[Citation, ...]
    origin: Origin = Origin.BOOK
    tightens: RuleId | None = None

    def reason(
        self,
        facts: tuple[str, ...],
        unmeasured: tuple[str, ...] = (),
        with_findings: tuple[str, ...] = (),
    ) -> Reason:
        """Return why this rule fired, as it is shown and stored."""
        return Reason(
            rule_id=self.id,
            because=self.because,
            basis=self.basis,
            citations=self.citations,
            unmeasured=unmeasured,
            facts=facts,
            with_findings=with_findings,
            origin=self.origin,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRule:
    """What an answer about a warning sign means for the whole car; ``answer`` None is unknown."""

    id: RuleId
    sign: str
    answer: bool | None
    then: Outcome
    reason: Reason


class Fired(NamedTuple):
    """What a rule that fired asks for, and why it fired."""

    then: Outcome
    reason: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A rule that speaks of one pair of part and damage, with the pair already in words.

    ``ready`` is what it gives where nothing else is asked; else None.
    """

    rule: Rule
    pair_facts: tuple[str, ...]
    ready: Fired | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRules:
    """The rules that speak of one pair of part and damage, each tuple by rule id.

    ``alone`` need no other finding; ``because_of_another`` may fire on this pair because of
    another finding; ``upon_another`` may fire on another finding because of this pair.
    """

    alone: tuple[Candidate, ...]
    because_of_another: tuple[Rule, ...]
    upon_another: tuple[Rule, ...]
