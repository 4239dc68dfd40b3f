"""Wrong passwords cost time: a growing pause per account and per address, never a lock for good.

Kept in memory: one process serves a shop, a restart is for whoever holds the server anyway, and a
guess must not cost a write. A browser in which a person has signed in before counts on its own,
so that a stranger's guesses keep nobody out of their own tablet.
"""

import math
import threading
from collections.abc import Hashable
from dataclasses import dataclass
from datetime import datetime, timedelta

from triage_app.domain.errors import NotAllowedError
from triage_app.services.ports import Clock

MOST_KEYS = 10_000
FORGET_AFTER = timedelta(hours=24)


@dataclass(frozen=True, slots=True, kw_only=True)
class Patience:
    """How many tries are free, how long the first pause is, and how long a pause may get."""

    free: int
    first_pause: timedelta
    longest_pause: timedelta

    def pause_after(self, wrong: int) -> timedelta:
        """Return how long to wait after so many wrong tries: doubling, up to the longest."""
        if wrong < self.free:
            return timedelta(0)
        doublings = min(wrong - self.free, 20)
        return min(self.first_pause * (1 << doublings), self.longest_pause)


# At the longest pause a guesser has some 100 tries a day at one account (SP 800-63B-4, 3.2.2,
# read in a copy, allows 100 in a row). A shop often has one address, so that is more patient.
PER_ACCOUNT = Patience(
    free=5, first_pause=timedelta(seconds=2), longest_pause=timedelta(minutes=15)
)
PER_ADDRESS = Patience(
    free=30, first_pause=timedelta(seconds=2), longest_pause=timedelta(minutes=1)
)


@dataclass(slots=True)
class _Tries:
    wrong: int
    last: datetime


class Throttle:
    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._tries: dict[Hashable, _Tries] = {}

    def begin(self, *asked: tuple[Hashable, Patience]) -> None:
        """Count a try for each key; NotAllowedError, counting none, while any of them waits.

        Counted as wrong before it is looked at, so that many at once gain nothing.
        """
        now = self._clock()
        with self._lock:
            wait = max(self._wait(key, patience, now) for key, patience in asked)
            if wait > timedelta(0):
                raise NotAllowedError(
                    f"Too many wrong tries. Wait {_in_words(wait)} and try again."
                )
            for key, _ in asked:
                tries = self._tries.pop(key, None)
                self._tries[key] = _Tries(1 if tries is None else tries.wrong + 1, now)
            while len(self._tries) > MOST_KEYS:
                del self._tries[next(iter(self._tries))]

    def right(self, cleared: Hashable, *taken_back: Hashable) -> None:
        """Forget the wrong tries of the first key, and only this try of the others.

        An address is not cleared by one right password, or one person could guess all others'.
        """
        with self._lock:
            self._tries.pop(cleared, None)
            for key in taken_back:
                if key in self._tries:
                    self._tries[key].wrong -= 1

    def _wait(self, key: Hashable, patience: Patience, now: datetime) -> timedelta:
        tries = self._tries.get(key)
        if tries is None:
            return timedelta(0)
        since = now - tries.last
        if since > FORGET_AFTER or since < timedelta(0):
            del self._tries[key]
            return timedelta(0)
        return patience.pause_after(tries.wrong) - since


def _in_words(wait: timedelta) -> str:
    seconds = math.ceil(wait.total_seconds())
    if seconds < 60:
        return f"{seconds} s"
    return f"{math.ceil(seconds / 60)} min"
