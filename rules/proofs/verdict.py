"""The judgement of one finding without its words: what the proofs compare in great number."""

from collections.abc import Iterable
from dataclasses import dataclass

from rules.condition import unmeasured_if_met
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.seen import Seen
from rules.tally import Tally
from rules.terms import Consequence, Disposition, HvFlag, Likelihood, Risk, SignalWord


@dataclass(frozen=True, slots=True)
class Verdict:
    """The outcome of one finding alone. ``is_asked`` is false if the book stayed silent."""

    consequence: Consequence
    likelihood: Likelihood
    risk: Risk
    hv_flag: HvFlag
    signal_word: SignalWord
    disposition: Disposition
    is_asked: bool

    def hazard_covers(self, milder: "Verdict") -> bool:
        """Tell whether no part of the hazard is less than in ``milder``."""
        return (
            self.consequence <= milder.consequence
            and self.likelihood <= milder.likelihood
            and self.risk >= milder.risk
            and self.hv_flag >= milder.hv_flag
            and self.signal_word >= milder.signal_word
        )

    def covers(self, milder: "Verdict") -> bool:
        """Tell whether neither hazard nor repair is less than in ``milder``."""
        return self.hazard_covers(milder) and self.disposition >= milder.disposition


def verdict(seen: Seen, book: Rulebook) -> Verdict:
    """Return what the rules of one finding say; combinations are left out, they only add."""
    rules = [one.rule for one in book.pairs[seen.component.id, seen.damage.id].alone]
    return verdict_of_fired(fired_in(rules, seen), book)


def fired_in(rules: Iterable[Rule], seen: Seen) -> list[Rule]:
    """Return the rules that fire on a finding, combinations left out."""
    return [
        rule
        for rule in rules
        if not rule.checks or unmeasured_if_met(rule.checks, seen) is not None
    ]


def verdict_of_fired(fired: Iterable[Rule], book: Rulebook) -> Verdict:
    """Return the outcome of a finding on which just these rules fire."""
    tally = Tally()
    for rule in fired:
        tally.add(rule.then)
    asked = (tally.consequence, tally.likelihood, tally.disposition)
    worst = (tally.worst_consequence, tally.worst_likelihood, tally.most_work)
    return _verdict(tally, worst, book, is_asked=None not in asked)


def verdict_of(rules: Iterable[Rule], seen: Seen, book: Rulebook) -> Verdict:
    """Return what these rules add to any others: the mildest where they say nothing."""
    tally = _tally(rules, seen)
    disposition = Disposition.MONITOR if tally.disposition is None else tally.disposition
    worst = (
        tally.consequence or Consequence.NEGLIGIBLE,
        tally.likelihood or Likelihood.F,
        disposition,
    )
    return _verdict(tally, worst, book, is_asked=True)


def _tally(rules: Iterable[Rule], seen: Seen) -> Tally:
    tally = Tally()
    for rule in fired_in(rules, seen):
        tally.add(rule.then)
    return tally


def _verdict(
    tally: Tally,
    worst: tuple[Consequence, Likelihood, Disposition],
    book: Rulebook,
    *,
    is_asked: bool,
) -> Verdict:
    consequence, likelihood, disposition = worst
    return Verdict(
        consequence=consequence,
        likelihood=likelihood,
        risk=book.risk_matrix[consequence, likelihood],
        hv_flag=tally.hv_flag,
        signal_word=book.signal_word(tally.signal_word, consequence, tally.hv_flag),
        disposition=disposition,
        is_asked=is_asked,
    )
