"""Money in whole cents of one currency, and the one rule by which it is rounded."""

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from triage_app.domain.errors import InvalidInputError

ROUNDING_RULE: Final = (
    "Each row is rounded to the cent, half a cent up; sums are sums of rounded rows; tax is worked "
    "out once, on the sum, and rounded the same way."
)
MAX_AMOUNT: Final = Decimal(10**9)
_CENT: Final = Decimal("0.01")
_CURRENCY = re.compile(r"[A-Z]{3}")


def cents(amount: Decimal) -> int:
    """Return an amount of money in whole cents, half a cent up."""
    return int(amount.quantize(_CENT, rounding=ROUND_HALF_UP).scaleb(2))


def amount(of_cents: int) -> Decimal:
    """Return whole cents as an amount with two decimals."""
    return Decimal(of_cents).scaleb(-2).quantize(_CENT)


def percent_of(net_cents: int, percent: Decimal) -> int:
    """Return a percentage of whole cents, rounded once."""
    return cents(Decimal(net_cents).scaleb(-2) * percent / 100)


def checked_currency(text: str) -> str:
    """Return a currency as its three capital letters of ISO 4217; InvalidInputError otherwise."""
    code = text.strip().upper()
    if not _CURRENCY.fullmatch(code):
        raise InvalidInputError(f"The currency is three letters such as EUR or USD, got '{text}'.")
    return code


def checked_amount(value: Decimal | None, what: str) -> Decimal | None:
    """Return a price or amount of 0 or more with at most two decimals, or None."""
    if value is None:
        return None
    if not value.is_finite() or not 0 <= value < MAX_AMOUNT:
        raise InvalidInputError(f"{what} must be between 0 and {MAX_AMOUNT:,f}, got {value}.")
    if value != value.quantize(_CENT):
        raise InvalidInputError(f"{what} has more than two decimals: {value}.")
    return value
