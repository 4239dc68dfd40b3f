"""One row of the book that judges: when it fires, and what it then asks for."""

from dataclasses import dataclass
from enum import StrEnum

from rules.condition import Check, Selector
from rules.model import (
    ActionId,
    Basis,
    Citation,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    OpenTestId,
    RuleId,
    SignalWord,
)


class Nearness(StrEnum):
    """Where the other finding must be for a combination to fire."""

    SAME_ZONE = "same zone"
    SAME_OR_ADJACENT_ZONE = "same or adjacent zone"
    ANYWHERE = "anywhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The other finding that a combination needs, and where it must be."""

    selector: Selector
    checks: tuple[Check, ...]
    where: Nearness


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
    """A row: independent of every other; results combine by the worst and by union."""

    id: RuleId
    table: str
    selector: Selector
    checks: tuple[Check, ...]
    beside: Beside | None
    then: Outcome
    because: str
    basis: Basis
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRule:
    """What an answer about a warning sign means for the whole car; ``answer`` None is unknown."""

    id: RuleId
    sign: str
    answer: bool | None
    then: Outcome
    because: str
    basis: Basis
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A rule that speaks of one pair of part and damage, with the pair already in words."""

    rule: Rule
    pair_facts: tuple[str, ...]
