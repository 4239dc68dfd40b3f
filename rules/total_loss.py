"""When a car counts as a total loss: rules with their source and date, chosen by a person.

Laws change and public copies disagree; a rule here is what a copy said on a day, and no default.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from rules.terms import SourceStatus


class TotalLossKind(StrEnum):
    """How a rule reckons."""

    PERCENTAGE = "percentage"
    FORMULA = "formula"
    OWN_PERCENTAGE = "own percentage"


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalLossRule:
    """One rule. ``percent`` is None where there is none, or where whoever chooses types it.

    ``others_say`` are other figures that public copies give for the same place: then the rule is
    shown as conflicting. ``read_on`` is the day on which the copy was read.
    """

    id: str
    place: str
    kind: TotalLossKind
    percent: Decimal | None
    authority: str
    read_on: date
    status: SourceStatus
    others_say: tuple[Decimal, ...] = ()
    note: str = ""

    @property
    def is_conflicting(self) -> bool:
        return bool(self.others_say)

    @property
    def words(self) -> str:
        """The rule in one line, with what others say, its source, date and status."""
        return "; ".join(self._words())

    def _words(self) -> Iterator[str]:
        if self.kind is TotalLossKind.FORMULA:
            what = "repair and salvage together against the value before the loss"
        elif self.percent is None:
            what = "a percentage, typed in, of the value before the loss"
        else:
            what = f"repair against {self.percent:f} % of the value before the loss"
        yield f"{self.place}: {what}"
        if self.others_say:
            others = " and ".join(f"{percent:f}" for percent in self.others_say)
            yield f"CONFLICTING: other copies say {others} %"
        yield f"{self.authority} ({self.status}, {self.read_on.isoformat()})"
        if self.note:
            yield self.note
