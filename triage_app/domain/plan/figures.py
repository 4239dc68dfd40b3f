"""The shop's figures: prices, hours, rates, overlaps, tax. The rule book holds none of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final

from rules.work import Labour
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.money import checked_amount, checked_currency
from triage_app.domain.vehicle import checked_text

MAX_HOURS: Final = Decimal(500)
_MOST_PERCENT: Final = Decimal(100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What one operation takes. None is not given, and never zero.

    ``part`` is the price of the parts that go in, ``outside`` what somebody else charges, ``day``
    the price of one day.
    """

    hours: Decimal | None = None
    part: Decimal | None = None
    outside: Decimal | None = None
    day: Decimal | None = None
    supplier: str = ""
    quoted_on: date | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "supplier", checked_text(self.supplier, "The supplier"))
        checked_hours(self.hours, "The hours")
        checked_amount(self.part, "The price of the part")
        checked_amount(self.outside, "The price of the outside service")
        checked_amount(self.day, "The price of a day")


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Work that lies inside the hours of several operations and is done only once.

    ``operations`` are ids of the price list; all are the same kind of labour.
    """

    name: str
    hours: Decimal
    operations: frozenset[str]

    def __post_init__(self) -> None:
        checked_hours(self.hours, f"The overlap '{self.name}'")
        if len(self.operations) < 2:
            raise InvalidInputError(f"The overlap '{self.name}' needs two operations or more.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """All figures of one case, in one currency.

    ``prices`` go by operation id; one for a single operation of this case, named by its place or
    finding, goes before. ``outside_markup_percent`` is added to outside services, ``tax_percent``
    to the sum. ``invented`` says that they are for a demonstration.
    """

    currency: str
    prices: Mapping[str, Price] = field(default_factory=dict)
    rates: Mapping[Labour, Decimal] = field(default_factory=dict)
    overlaps: tuple[Overlap, ...] = ()
    tax_percent: Decimal = Decimal(0)
    outside_markup_percent: Decimal = Decimal(0)
    storage_days: Decimal | None = None
    invented: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "currency", checked_currency(self.currency))
        for labour, rate in self.rates.items():
            checked_amount(rate, f"The rate for {labour} labour")
        for what, percent in (
            ("The tax", self.tax_percent),
            ("The mark-up on outside services", self.outside_markup_percent),
        ):
            checked_percent(percent, what)
        days = self.storage_days
        if days is not None and not (days.is_finite() and 0 <= days <= 3650):
            raise InvalidInputError(f"The days of storage must be between 0 and 3650, got {days}.")
        names = [overlap.name for overlap in self.overlaps]
        if len(set(names)) != len(names):
            raise InvalidInputError("Two overlaps have the same name.")


def checked_percent(value: Decimal, what: str, most: Decimal = _MOST_PERCENT) -> Decimal:
    """Return a percentage from 0 to ``most``; InvalidInputError otherwise."""
    if not value.is_finite() or not 0 <= value <= most:
        raise InvalidInputError(f"{what} must be between 0 and {most:f} per cent, got {value}.")
    return value


def checked_hours(value: Decimal | None, what: str) -> Decimal | None:
    """Return hours from 0 to 500, or None; InvalidInputError otherwise."""
    if value is not None and not (value.is_finite() and 0 <= value <= MAX_HOURS):
        raise InvalidInputError(f"{what} must be between 0 and {MAX_HOURS:f} hours, got {value}.")
    return value
