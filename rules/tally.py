"""Adding up what rules ask for: the worst counts, actions and tests are united."""

from rules.rule import Outcome
from rules.terms import (
    ActionId,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    OpenTestId,
    SignalWord,
)


class Tally:
    """The worst of what was asked for so far, and the union of actions and tests.

    It starts at "nobody asked"; where the book stays silent the worst is answered.
    """

    def __init__(self) -> None:
        self.consequence: Consequence | None = None
        self.likelihood: Likelihood | None = None
        self.hv_flag = HvFlag.NONE
        self.disposition: Disposition | None = None
        self.signal_word = SignalWord.NOTICE
        self.actions: set[ActionId] = set()
        self.tests: set[OpenTestId] = set()

    @property
    def worst_consequence(self) -> Consequence:
        return self.consequence or Consequence.CATASTROPHIC

    @property
    def worst_likelihood(self) -> Likelihood:
        return self.likelihood or Likelihood.A

    @property
    def most_work(self) -> Disposition:
        return Disposition.TEST_FIRST if self.disposition is None else self.disposition

    def add(self, asked: Outcome) -> None:
        worse = asked.consequence
        if worse is not None and (self.consequence is None or worse < self.consequence):
            self.consequence = worse
        likelier = asked.likelihood
        if likelier is not None and (self.likelihood is None or likelier < self.likelihood):
            self.likelihood = likelier
        if asked.hv_flag is not None and asked.hv_flag > self.hv_flag:
            self.hv_flag = asked.hv_flag
        self._add_work(asked)

    def _add_work(self, asked: Outcome) -> None:
        more = asked.disposition
        if more is not None and (self.disposition is None or more > self.disposition):
            self.disposition = more
        if asked.signal_word is not None and asked.signal_word > self.signal_word:
            self.signal_word = asked.signal_word
        if asked.actions:
            self.actions |= asked.actions
        if asked.tests:
            self.tests |= asked.tests
