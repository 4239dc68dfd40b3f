"""A shop's own rules over our book: what they are called, who answers for them, what they change.

An overlay only ever adds. No row of ours is changed or removed: a stricter value is a row of the
shop's own that stands beside ours, and the worst of both counts.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from rules.terms import RuleId

RULE_PREFIX = "SHOP"
WORD_PREFIX = "shop_"


class ChangeKind(StrEnum):
    """Whether a row of the overlay is new, or makes one of ours stricter."""

    ADDS = "adds"
    TIGHTENS = "tightens"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One row of the overlay in words. ``row`` is its id, or the id of our word that it touches."""

    kind: ChangeKind
    row: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """The overlay of a loaded book. ``sha256`` is that of its file alone.

    ``without_example`` holds the rules that cannot have an example, with the shop's reason.
    """

    file: str
    name: str
    revision: str
    owner: str
    sha256: str
    changes: tuple[Change, ...]
    without_example: Mapping[RuleId, str]

    def lines(self) -> tuple[str, ...]:
        """Return what the overlay adds and tightens, a line each."""
        return tuple(self._lines())

    def _lines(self) -> Iterator[str]:
        yield f"The shop's rules '{self.name}', revision {self.revision}, from {self.file}"
        yield f"  answered for by {self.owner}"
        yield f"  SHA-256 {self.sha256}"
        for kind in ChangeKind:
            changes = [change for change in self.changes if change.kind is kind]
            if changes:
                yield kind.value.capitalize()
                yield from (f"  {change.row:<28}{change.says}" for change in changes)
        for rule_id, reason in self.without_example.items():
            yield f"Without example: {rule_id}, because: {reason}"
