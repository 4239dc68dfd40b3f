"""Prices and figures on record, and the plan that comes of them."""

from dataclasses import replace
from decimal import Decimal

import pytest

from rules.work import Labour
from tests.builders import ADJUSTER, ESTIMATOR, some_tags
from tests.unit.services.shop import a_shop
from triage_app.casefile.cases import case_from_json, case_to_json
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotAllowedError, PriceListError
from triage_app.domain.plan.decision import Line, NoLine, TotalLossChoice
from triage_app.domain.plan.given import LabourRate, PlanFigures, PriceRow
from triage_app.domain.vehicle import Incident
from triage_app.services import Services

RULE = TotalLossChoice(rule_id="TL-AL", equality_counts=True, counts_tax=False)
FIGURES = PlanFigures(
    rates=(LabourRate(labour=Labour.MECHANICAL, amount=Decimal("94.00")),),
    tax_percent=Decimal(19),
    total_loss=RULE,
)


def a_case(shop: Services, currency: str = "EUR") -> Case:
    incident = Incident(pre_loss_value=Decimal("20000.00"), currency=currency)
    case = shop.intake.open_case(by=ESTIMATOR, reference="P-1", incident=incident)
    tags = some_tags("fan_shroud", "crack", zone="front_end")
    return shop.marking.add_finding(case.id, tags, by=ESTIMATOR)


def test_a_price_list_and_figures_stay_on_record_and_in_the_file() -> None:
    shop = a_shop()
    case = a_case(shop)
    data = b"operation;hours;part\nscan_before;0,5;\nreplace:fan_shroud;0,8;142,00\n"
    shop.planning.import_prices(case.id, data, by=ESTIMATOR, file_name="list.csv")
    case = shop.planning.give_figures(case.id, FIGURES, by=ESTIMATOR)
    assert case_from_json(case_to_json(case)) == case
    assert case.plan is not None
    assert case.plan.total_loss_by is not None
    assert case.plan.total_loss_by.by == ESTIMATOR.name
    rows = {row.operation: row for row in shop.planning.plan(case).if_met.rows}
    assert rows["scan_before"].amount == 4700


def test_a_list_with_a_fault_leaves_the_one_before() -> None:
    shop = a_shop()
    case = a_case(shop)
    good = b"operation,hours\nscan_before,0.5\n"
    before = shop.planning.import_prices(case.id, good, by=ESTIMATOR, file_name="a.csv")
    with pytest.raises(PriceListError, match="Row 3"):
        shop.planning.import_prices(
            case.id, good + b"scan_befor,1\n", by=ESTIMATOR, file_name="b.csv"
        )
    assert shop.cases.get(case.id) == before


def test_a_typed_price_goes_before_the_list_and_can_be_taken_back() -> None:
    shop = a_shop()
    case = a_case(shop)
    row = PriceRow(operation="scan_before", hours=Decimal(1))
    case = shop.planning.type_price(case.id, row, by=ESTIMATOR)
    assert shop.planning.inputs(case).figures.prices["scan_before"].hours == Decimal(1)
    case = shop.planning.type_price(case.id, PriceRow(operation="scan_before"), by=ESTIMATOR)
    assert shop.planning.inputs(case).figures.prices == {}
    with pytest.raises(InvalidInputError, match="no operation 'scan'"):
        shop.planning.type_price(case.id, replace(row, operation="scan"), by=ESTIMATOR)


def test_no_total_loss_rule_is_ever_assumed() -> None:
    shop = a_shop()
    case = a_case(shop)
    assert isinstance(shop.planning.plan(case).line, NoLine)
    case = shop.planning.give_figures(case.id, FIGURES, by=ESTIMATOR)
    line = shop.planning.plan(case).line
    assert isinstance(line, Line)
    assert line.limit == Decimal(15000)
    unknown = replace(FIGURES, total_loss=replace(RULE, rule_id="TL-XX"))
    with pytest.raises(InvalidInputError, match="no total-loss rule 'TL-XX'"):
        shop.planning.give_figures(case.id, unknown, by=ESTIMATOR)


def test_what_the_list_must_give_can_be_asked() -> None:
    shop = a_shop()
    needed = shop.planning.needed(a_case(shop))
    assert {"replace:fan_shroud", "front_shield_off", "scan_after"} <= set(needed)
    assert set(needed) <= shop.planning.price_ids()


def test_without_a_currency_there_is_no_plan() -> None:
    shop = a_shop()
    with pytest.raises(InvalidInputError, match="currency"):
        shop.planning.plan(a_case(shop, currency=""))


def test_an_adjuster_changes_no_price() -> None:
    shop = a_shop()
    case = a_case(shop)
    with pytest.raises(NotAllowedError, match="prices"):
        shop.planning.give_figures(case.id, FIGURES, by=ADJUSTER)
