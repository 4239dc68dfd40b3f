"""Invented figures and findings for plans, in one line each."""

from collections.abc import Mapping
from decimal import Decimal

from rules import CaseFacts, Facts, Rulebook
from rules.work import Labour
from tests.unit.rules.book import a_car, the_book
from triage_app.domain.plan.decision import TotalLossChoice
from triage_app.domain.plan.figures import Figures, Overlap, Price
from triage_app.domain.plan.plan import Plan, PlanInputs, make_plan

RATES = {
    Labour.BODY: Decimal("80.00"),
    Labour.MECHANICAL: Decimal("90.00"),
    Labour.HV_QUALIFIED: Decimal("120.00"),
    Labour.STRUCTURAL: Decimal("100.00"),
    Labour.PAINT: Decimal("85.00"),
}
WHOLE = Decimal("14000.00")


def flat_prices(book: Rulebook | None = None, **more: Price) -> dict[str, Price]:
    """Return a price for every operation of the book: half an hour, 10.00 a part, 100.00 outside.

    A whole battery is 14,000.00. ``more`` are prices by id, ``_`` standing for ``:``.
    """
    work = (book or the_book()).work
    one = Price(
        hours=Decimal("0.5"),
        part=Decimal("10.00"),
        outside=Decimal("100.00"),
        day=Decimal("20.00"),
    )
    prices = dict.fromkeys(work.steps, one)
    prices |= dict.fromkeys((f"{kind}:{part}" for part, kind in work.works), one)
    prices |= dict.fromkeys((f"test:{test}" for test in work.tests), one)
    prices[work.whole_battery] = Price(hours=Decimal(2), part=WHOLE)
    return prices | more


def figures(
    prices: Mapping[str, Price] | None = None,
    *,
    overlaps: tuple[Overlap, ...] = (),
    tax: str = "0",
    markup: str = "0",
    days: str | None = "3",
) -> Figures:
    return Figures(
        currency="EUR",
        prices=flat_prices() if prices is None else prices,
        rates=RATES,
        overlaps=overlaps,
        tax_percent=Decimal(tax),
        outside_markup_percent=Decimal(markup),
        storage_days=None if days is None else Decimal(days),
        invented=True,
    )


def facts_of(*findings: Facts, **more: object) -> CaseFacts:
    return CaseFacts(vehicle=a_car(), findings=findings, **more)  # type: ignore[arg-type]  # by name


def plan_of(
    *findings: Facts,
    given: Figures | None = None,
    value: str | None = "20000",
    rule: TotalLossChoice | None = None,
    **more: object,
) -> Plan:
    """Return the plan of these findings; their ids are their numbers."""
    inputs = PlanInputs(
        figures=given or figures(),
        value=None if value is None else Decimal(value),
        total_loss=rule,
        **more,  # type: ignore[arg-type]  # by name
    )
    numbers = {one.finding_id: int(one.finding_id) for one in findings}
    return make_plan(facts_of(*findings), the_book(), inputs, numbers=numbers)


def chosen_rule(percent: str) -> TotalLossChoice:
    return TotalLossChoice(
        rule_id="TL-OWN",
        equality_counts=True,
        counts_tax=False,
        percent=Decimal(percent),
        document="Policy 7 (invented)",
    )
