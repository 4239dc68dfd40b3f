"""A row that judges the car as a whole: when it fires, and how strict it is."""

from dataclasses import dataclass
from enum import IntEnum
from typing import Generic, TypeVar

from rules.condition import Selector
from rules.model import Citation
from rules.terms import Basis, Quarantine, RuleId, TransportClass

LevelT = TypeVar("LevelT", bound=IntEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRule(Generic[LevelT]):
    """A row of ``quarantine.toml`` or ``transport.toml``; the strictest that fires counts.

    Exactly one of three is asked. ``signs`` with ``answer``: any of these signs has this answer
    (``None`` is "nobody said"). ``finding``: any finding is of this kind; a part or damage that
    nobody identified could be. ``battery_not_seen``: nobody has seen the battery whole.
    """

    id: RuleId
    table: str
    signs: frozenset[str]
    answer: bool | None
    finding: Selector | None
    battery_not_seen: bool
    then: LevelT
    because: str
    basis: Basis
    cites: tuple[str, ...]
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarantineLevel:
    """What one level of quarantine asks for, in words."""

    level: Quarantine
    label: str
    text: str
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TransportEntry:
    """What one transport class asks for: words, and the packing instructions by name."""

    transport_class: TransportClass
    label: str
    text: str
    packing: tuple[str, ...]
    citations: tuple[Citation, ...]
