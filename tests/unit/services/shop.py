"""A whole shop in memory, with a clock that tests set."""

import itertools
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from argon2 import PasswordHasher

from rules import load_rulebook
from tests.builders import NOON
from triage_app.domain.case import Case
from triage_app.services import Services
from triage_app.services.passwords import Passwords
from triage_app.services.ports import CaseSummary
from triage_app.services.summary import summarise
from triage_app.storage.open import open_stores

CODE = "TEST-CODE-0001"
RULEBOOK = load_rulebook()
# As cheap as argon2 gets: what it costs in a shop would make these tests slow.
CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)


@dataclass
class TestClock:
    """A clock that stands until it is told to move."""

    __test__ = False
    now: datetime = field(default=NOON)

    def __call__(self) -> datetime:
        return self.now

    def forward(self, step: timedelta) -> None:
        self.now += step


def a_shop(clock: TestClock | None = None, *, demo: bool = False) -> Services:
    def with_rules(case: Case, changed_at: datetime) -> CaseSummary:
        return summarise(case, changed_at, RULEBOOK)

    stores = open_stores("memory://", "memory://", summarise=with_rules)
    numbers = itertools.count(1)
    return Services(
        cases=stores.cases,
        blobs=stores.blobs,
        accounts=stores.accounts,
        sessions=stores.sessions,
        shop=stores.shop,
        rulebook=RULEBOOK,
        clock=clock or TestClock(),
        new_id=lambda: f"id{next(numbers)}",
        sign_in_code=CODE,
        close=stores.close,
        passwords=Passwords(CHEAP),
        demo=demo,
    )
