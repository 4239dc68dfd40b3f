"""The loaded rule book: vocabulary, rules, texts and sources, ready to be asked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rules.case_answer import UnNumber
from rules.case_rule import CaseRule, QuarantineLevel, TransportEntry
from rules.evidence_rule import EvidenceBook
from rules.example import Example
from rules.model import (
    Action,
    Citation,
    Component,
    DamageType,
    OpenTest,
    RulebookStamp,
    Source,
    Zone,
)
from rules.overlay import Overlay
from rules.rule import PairRules, Rule, StopRule
from rules.seen import Vocabulary
from rules.terms import (
    ActionId,
    ComponentId,
    Consequence,
    DamageId,
    HvFlag,
    Likelihood,
    OpenTestId,
    Quarantine,
    Risk,
    RuleId,
    SignalWord,
    SourceId,
    TransportClass,
    ZoneId,
)
from rules.total_loss import TotalLossRule
from rules.work import WorkBook


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """A word of the book in our own words, such as what a consequence means for a car."""

    name: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A published value or statement that rules cite. ``value`` is None for a statement."""

    id: str
    citation: Citation
    value: float | None
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rulebook:
    """Everything the tables say. Made by ``load_rulebook`` only; never half-loaded.

    ``pairs`` holds, for each pair of part and damage, the rules that speak of it. ``overlay`` says
    what a shop's own rules changed; None for the book alone.
    """

    stamp: RulebookStamp
    title: str
    components: Mapping[ComponentId, Component]
    damage_types: Mapping[DamageId, DamageType]
    zones: Mapping[ZoneId, Zone]
    actions: Mapping[ActionId, Action]
    open_tests: Mapping[OpenTestId, OpenTest]
    sources: Mapping[SourceId, Source]
    facts: Mapping[str, Fact]
    rules: Mapping[RuleId, Rule]
    stop_rules: Mapping[RuleId, StopRule]
    evidence: EvidenceBook
    quarantine_rules: Mapping[RuleId, CaseRule[Quarantine]]
    quarantine_levels: Mapping[Quarantine, QuarantineLevel]
    transport_rules: Mapping[RuleId, CaseRule[TransportClass]]
    transport_classes: Mapping[TransportClass, TransportEntry]
    un_numbers: tuple[UnNumber, ...]
    risk_matrix: Mapping[tuple[Consequence, Likelihood], Risk]
    risk_citation: Citation
    consequences: Mapping[Consequence, Meaning]
    likelihoods: Mapping[Likelihood, Meaning]
    signal_words: Mapping[SignalWord, Meaning]
    least_signal_word: Mapping[Consequence, SignalWord]
    hv_signal_word: SignalWord
    safing_actions: Mapping[HvFlag, frozenset[ActionId]]
    examples: tuple[Example, ...]
    pairs: Mapping[tuple[ComponentId, DamageId], PairRules]
    vocabulary: Vocabulary
    signs: frozenset[str]
    work: WorkBook
    total_loss: Mapping[str, TotalLossRule]
    overlay: Overlay | None = None

    @property
    def rule_ids(self) -> tuple[RuleId, ...]:
        """The ids of all rows that judge: a finding, a sign, quarantine or transport."""
        return (*self.rules, *self.stop_rules, *self.quarantine_rules, *self.transport_rules)

    def signal_word(
        self, asked: SignalWord, consequence: Consequence, hv_flag: HvFlag
    ) -> SignalWord:
        """Return the signal word of a finding: what rules asked for, or the least there may be."""
        for_hv = self.hv_signal_word if hv_flag else SignalWord.NOTICE
        return max(asked, self.least_signal_word[consequence], for_hv)

    def actions_in_order(self, ids: Iterable[ActionId]) -> tuple[Action, ...]:
        """Return the actions in the order in which they are done."""
        return tuple(sorted([self.actions[one] for one in ids], key=_order))

    def tests_in_order(self, ids: Iterable[OpenTestId]) -> tuple[OpenTest, ...]:
        """Return the open tests by their ids."""
        return tuple([self.open_tests[one] for one in sorted(ids)])


def _order(action: Action) -> int:
    return action.order
