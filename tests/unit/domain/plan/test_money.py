"""Cents by table, and nothing that is no money."""

from decimal import Decimal

import pytest

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.decision import gross
from triage_app.domain.plan.figures import Figures, Overlap, Price
from triage_app.domain.plan.money import amount, cents, checked_currency, percent_of


# Half a cent up, by hand.
@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("0", 0),
        ("0.004", 0),
        ("0.005", 1),
        ("0.0149", 1),
        ("0.015", 2),
        ("0.025", 3),  # a banker's rounding would give 2
        ("1.005", 101),  # as a float it would lie below
        ("2.675", 268),
        ("94.00", 9400),
        ("1234567.895", 123456790),
    ],
)
def test_half_a_cent_goes_up(given: str, expected: int) -> None:
    assert cents(Decimal(given)) == expected


@pytest.mark.parametrize(
    ("net", "percent", "expected"),
    [
        (10000, "19", 1900),
        (333, "10", 33),
        (335, "10", 34),  # 0.335 rounds up
        (1, "50", 1),
        (955120, "19", 181473),  # 9551.20 x 0.19 = 1814.728
        (100, "0", 0),
        (999, "8.875", 89),  # 9.99 x 0.08875 = 0.8866...
    ],
)
def test_tax_is_worked_out_once_on_the_sum(net: int, percent: str, expected: int) -> None:
    assert percent_of(net, Decimal(percent)) == expected
    assert gross(net, Decimal(percent)) == net + expected


def test_cents_become_an_amount_with_two_decimals() -> None:
    assert str(amount(5)) == "0.05"
    assert str(amount(120)) == "1.20"


@pytest.mark.parametrize("text", ["", "EU", "EURO", "€", "12A"])
def test_a_currency_is_three_letters(text: str) -> None:
    with pytest.raises(InvalidInputError, match="three letters"):
        checked_currency(text)


@pytest.mark.parametrize(
    ("price", "says"),
    [
        ({"part": Decimal("1.005")}, "more than two decimals"),
        ({"part": Decimal(-1)}, "between 0 and"),
        ({"outside": Decimal("NaN")}, "between 0 and"),
        ({"day": Decimal("Infinity")}, "between 0 and"),
        ({"hours": Decimal(501)}, "between 0 and 500 hours"),
    ],
)
def test_no_price_is_refused(price: dict[str, Decimal], says: str) -> None:
    with pytest.raises(InvalidInputError, match=says):
        Price(**price)  # type: ignore[arg-type]  # by name


def test_figures_that_cannot_be_are_refused() -> None:
    with pytest.raises(InvalidInputError, match="tax"):
        Figures(currency="EUR", tax_percent=Decimal(101))
    with pytest.raises(InvalidInputError, match="days of storage"):
        Figures(currency="EUR", storage_days=Decimal(-1))
    with pytest.raises(InvalidInputError, match="two operations or more"):
        Overlap(name="drain", hours=Decimal("0.3"), operations=frozenset(["a"]))
    two = Overlap(name="drain", hours=Decimal("0.3"), operations=frozenset(["a", "b"]))
    with pytest.raises(InvalidInputError, match="same name"):
        Figures(currency="EUR", overlaps=(two, two))
