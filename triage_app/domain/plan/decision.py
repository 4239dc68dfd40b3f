"""Repair, whole battery or total loss: what a cost means under the rule that a person chose."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from rules.total_loss import TotalLossKind, TotalLossRule
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.figures import checked_percent
from triage_app.domain.plan.money import amount, cents, checked_amount, percent_of
from triage_app.domain.plan.space import Cost
from triage_app.domain.vehicle import checked_text

_MOST_PERCENT = Decimal(200)


class Decision(StrEnum):
    """What a case comes to."""

    REPAIR = "repair part by part"
    WHOLE_BATTERY = "replace the whole battery"
    TOTAL_LOSS = "total loss under the chosen rule"
    UNKNOWN = "not known: prices are missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalLossChoice:
    """The rule that a named person chose for this case.

    ``equality_counts``: whether reaching the line is a total loss, or only passing it; sources
    differ, so it is said each time. ``percent`` and ``document`` belong to a percentage of the
    shop's or the policy's own. ``counts_tax``: whether tax counts into the repair.
    """

    rule_id: str
    equality_counts: bool
    counts_tax: bool
    percent: Decimal | None = None
    document: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "document", checked_text(self.document, "The document"))
        if (self.percent is None) is not (self.document == ""):
            raise InvalidInputError(
                "A percentage of your own needs the document that it is from, and the other way "
                "round."
            )
        if (
            self.percent is not None
            and checked_percent(self.percent, "The percentage", _MOST_PERCENT) == 0
        ):
            raise InvalidInputError("The percentage must be above 0.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The chosen rule with its figures: from ``least_net`` cents on a case is a total loss.

    ``limit`` is the amount that the repair is held against; ``words`` say how it comes about.
    """

    rule: TotalLossRule
    choice: TotalLossChoice
    limit: Decimal
    least_net: int
    words: str

    def is_reached(self, net: int) -> bool:
        return net >= self.least_net


@dataclass(frozen=True, slots=True, kw_only=True)
class NoLine:
    """Why no cost can be a total loss yet: one sentence for each thing that is missing."""

    missing: tuple[str, ...]


def line_of(
    rule: TotalLossRule | None,
    choice: TotalLossChoice | None,
    *,
    value: Decimal | None,
    salvage: Decimal | None,
    tax_percent: Decimal,
) -> Line | NoLine:
    """Return the line of the chosen rule, or what is missing for it. Nothing is ever assumed.

    Raises InvalidInputError for a choice that does not fit its rule.
    """
    if rule is None or choice is None:
        return NoLine(missing=("No total-loss rule is chosen.",))
    checked_amount(salvage, "The salvage value")
    missing = []
    if value is None:
        missing.append("The value before the loss is not given.")
    if salvage is None and rule.kind is TotalLossKind.FORMULA:
        missing.append("The salvage value is not given.")
    percent = _percent(rule, choice)
    if missing or value is None:
        return NoLine(missing=tuple(missing))
    if rule.kind is TotalLossKind.FORMULA:
        limit = value - (salvage or Decimal(0))
        words = f"{value:,.2f} before the loss less {salvage:,.2f} salvage"
    else:
        limit = value * (percent or Decimal(0)) / 100
        words = f"{percent:f} % of {value:,.2f} before the loss"
    tax = tax_percent if choice.counts_tax else Decimal(0)
    return Line(
        rule=rule,
        choice=choice,
        limit=limit,
        least_net=_least_net(limit, tax, equality_counts=choice.equality_counts),
        words=words,
    )


def decide(cost: Cost, line: Line | NoLine) -> Decision:
    """Return what this cost means. With prices missing only a total loss can be certain."""
    if isinstance(line, Line) and line.is_reached(cost.net):
        return Decision.TOTAL_LOSS
    if cost.is_unpriced:
        return Decision.UNKNOWN
    return Decision.WHOLE_BATTERY if cost.is_battery else Decision.REPAIR


def gross(net: int, tax_percent: Decimal) -> int:
    """Return net cents with the tax on them, which is rounded once."""
    return net + percent_of(net, tax_percent)


def _percent(rule: TotalLossRule, choice: TotalLossChoice) -> Decimal | None:
    is_own = rule.kind is TotalLossKind.OWN_PERCENTAGE
    if is_own is not (choice.percent is not None):
        raise InvalidInputError(
            "Type in the percentage with its document."
            if is_own
            else f"The rule {rule.id} has a percentage or formula of its own; none is typed in."
        )
    return choice.percent if is_own else rule.percent


def _least_net(limit: Decimal, tax_percent: Decimal, *, equality_counts: bool) -> int:
    """Return the least net cents that, with tax, reach or pass the limit."""

    def is_beyond(net: int) -> bool:
        total = amount(gross(net, tax_percent))
        return total >= limit if equality_counts else total > limit

    low, high = 0, max(0, cents(limit)) + 2
    while low < high:
        middle = (low + high) // 2
        if is_beyond(middle):
            high = middle
        else:
            low = middle + 1
    return low
