"""plan and plan-prices on the command line."""

from decimal import Decimal
from pathlib import Path

from tests.unit.cli.shell import Shell
from tests.unit.domain.plan.shop import chosen_rule, plan_of
from tests.unit.rules.book import a_finding
from triage_app.cli.commands.plan import _lines


def test_a_price_list_comes_in_whole_and_a_plan_needs_a_currency(
    shop: Shell, tmp_path: Path
) -> None:
    shop.run("plan", "R-1").refused("currency")
    prices = tmp_path / "prices.csv"
    prices.write_text("operation,hours\nscan_befor,0.5\n", encoding="utf-8")
    shop.run("plan-prices", "R-1", str(prices)).refused("Row 2", "scan_before")
    prices.write_text("operation,hours\nscan_before,0.5\n", encoding="utf-8")
    said = shop.run("plan-prices", "R-1", str(prices))
    assert (said.status, said.out.strip()) == (0, "1 prices taken in for case R-1.")


def test_what_is_printed_names_the_hinge_and_can_be_added_up_again() -> None:
    cable = a_finding("hv_cable", "severed", zone="battery_front", side="left")
    plan = plan_of(cable, rule=chosen_rule("60"))
    lines = list(_lines(plan))
    assert any("It hinges on: isolation_resistance." in line for line in lines)
    amounts = [line[:12].strip() for line in lines if line.startswith("  ")]
    *rows, total = [Decimal(text) for text in amounts]
    assert sum(rows) == total
