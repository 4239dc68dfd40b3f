"""What a cost means under the chosen rule, and that nothing is ever chosen or assumed."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tests.unit.rules.book import the_book
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.decision import (
    Decision,
    Line,
    NoLine,
    TotalLossChoice,
    decide,
    line_of,
)
from triage_app.domain.plan.space import BATTERY, UNPRICED, Cost

_FACTS = Path(__file__).parents[3] / "data" / "facts_checks.json"
CASES: list[dict[str, Any]] = json.loads(  # Any: JSON
    _FACTS.read_text(encoding="utf-8")
)["total_loss_formula_cases"]


def a_line(
    rule_id: str = "TL-AL",
    *,
    equality_counts: bool = True,
    counts_tax: bool = False,
    value: str | None = "20000",
    salvage: str | None = None,
    tax: str = "0",
    percent: str | None = None,
) -> Line | NoLine:
    return line_of(
        the_book().total_loss[rule_id],
        TotalLossChoice(
            rule_id=rule_id,
            equality_counts=equality_counts,
            counts_tax=counts_tax,
            percent=None if percent is None else Decimal(percent),
            document="" if percent is None else "Policy 7 (invented)",
        ),
        value=None if value is None else Decimal(value),
        salvage=None if salvage is None else Decimal(salvage),
        tax_percent=Decimal(tax),
    )


def is_total(line: Line | NoLine, repair: str) -> bool:
    net = int(Decimal(repair) * 100)
    return decide(Cost(net=net), line) is Decision.TOTAL_LOSS


@pytest.mark.parametrize("case", CASES, ids=lambda one: f"{one['repair']}+{one['salvage']}")
def test_the_formula_gives_the_published_answer(case: dict[str, Any]) -> None:  # Any: JSON
    """Against the formula cases of the table of facts."""
    line = a_line("TL-00", value=str(case["acv"]), salvage=str(case["salvage"]))
    assert is_total(line, str(case["repair"])) is case["total"]


@pytest.mark.parametrize(
    ("repair", "answers"),
    [
        ("14999.99", (False, False)),
        ("15000.00", (True, False)),
        ("15000.01", (True, True)),
    ],
)
def test_on_the_line_the_answer_is_the_one_that_was_chosen(
    repair: str, answers: tuple[bool, bool]
) -> None:
    """The line is at 75 % of 20,000, that is 15,000: to be reached, or to be passed."""
    lines = a_line(), a_line(equality_counts=False)
    assert tuple(is_total(line, repair) for line in lines) == answers


def test_tax_counts_only_where_it_is_chosen_to() -> None:
    """12,605.04 net and 19 % (2,394.9576, rounded 2,394.96) are 15,000.00."""
    assert not is_total(a_line(tax="19"), "12605.04")
    assert is_total(a_line(tax="19", counts_tax=True), "12605.04")
    assert not is_total(a_line(tax="19", counts_tax=True), "12605.03")


def test_a_percentage_of_ones_own_needs_its_document() -> None:
    line = a_line("TL-OWN", percent="80")
    assert isinstance(line, Line)
    assert line.limit == Decimal(16000)
    with pytest.raises(InvalidInputError, match="Type in the percentage"):
        a_line("TL-OWN")
    with pytest.raises(InvalidInputError, match="of its own"):
        a_line("TL-AL", percent="80")
    with pytest.raises(InvalidInputError, match="document"):
        TotalLossChoice(
            rule_id="TL-OWN", equality_counts=True, counts_tax=False, percent=Decimal(80)
        )


def test_what_is_missing_is_said_and_nothing_is_assumed() -> None:
    none = line_of(None, None, value=Decimal(1), salvage=None, tax_percent=Decimal(0))
    assert none == NoLine(missing=("No total-loss rule is chosen.",))
    assert a_line("TL-00", value=None) == NoLine(
        missing=("The value before the loss is not given.", "The salvage value is not given.")
    )
    assert decide(Cost(net=10**9), none) is Decision.REPAIR


def test_a_salvage_above_the_value_makes_every_repair_a_total_loss() -> None:
    assert is_total(a_line("TL-00", value="1000", salvage="1200"), "0")


@pytest.mark.parametrize(
    ("flags", "net", "expected"),
    [
        (0, 100, Decision.REPAIR),
        (BATTERY, 100, Decision.WHOLE_BATTERY),
        (UNPRICED, 100, Decision.UNKNOWN),
        (UNPRICED | BATTERY, 100, Decision.UNKNOWN),
        # What is known already passes the line: what is missing can only add to it.
        (UNPRICED, 1_500_000, Decision.TOTAL_LOSS),
        (BATTERY, 1_500_000, Decision.TOTAL_LOSS),
    ],
)
def test_missing_prices_never_settle_a_repair(flags: int, net: int, expected: Decision) -> None:
    assert decide(Cost(net=net, flags=flags), a_line()) is expected
