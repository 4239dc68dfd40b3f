"""plan, plan-prices: what the repair can cost and which test decides; take a price list in."""

import argparse
from collections.abc import Iterator
from pathlib import Path

from triage_app.casefile.price_csv import MAX_PRICE_LIST_BYTES
from triage_app.cli.command import Command, Desk
from triage_app.cli.files import read_file
from triage_app.cli.words import HV_NOTICE
from triage_app.domain.plan.decision import Line
from triage_app.domain.plan.first_test import Node
from triage_app.domain.plan.money import ROUNDING_RULE, amount
from triage_app.domain.plan.plan import Plan


def _plan_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")


def _plan(options: argparse.Namespace, desk: Desk) -> int:
    plan = desk.services.planning.plan(desk.case(options.case))
    print(HV_NOTICE)
    for line in _lines(plan):
        print(line)
    return 0


def _lines(plan: Plan) -> Iterator[str]:
    currency = plan.inputs.figures.currency
    most = "not known, prices are missing" if plan.span.most is None else amount(plan.span.most)
    yield f"Least {amount(plan.span.least)} {currency}, most {most}, without tax."
    if not plan.space.is_exact:
        yield "There are too many outcomes to count out: these are bounds."
    if isinstance(plan.line, Line):
        yield f"Total-loss line {plan.line.limit:.2f} {currency}: {plan.line.words}."
    else:
        yield from plan.line.missing
    possible = "; ".join(sorted(plan.hinges.possible))
    if plan.hinges.is_settled:
        yield f"Settled: {possible}."
    else:
        yield f"Not settled: {possible}. It hinges on: {', '.join(plan.hinges.tests)}."
    if isinstance(plan.tree, Node):
        yield f"Best first: {plan.tree.question.label}"
    yield f"If every outstanding test is met, in the order of work ({currency}):"
    for row in plan.if_met.rows:
        money = "no price" if row.amount is None else f"{amount(row.amount)}"
        place = f" ({row.place})" if row.place else ""
        missing = f" - missing: {', '.join(row.missing)}" if row.missing else ""
        yield f"{money:>12}  {row.label}{place}{missing}"
    bill = plan.if_met
    yield f"{amount(bill.net):>12}  sum; tax {amount(bill.tax)}; total {amount(bill.total)}"
    yield ROUNDING_RULE


def _prices_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("file", metavar="FILE.csv", type=Path, help="price list of the shop")
    parser.add_argument(
        "--decimal-mark", choices=[".", ","], help="where the numbers leave it open"
    )


def _prices(options: argparse.Namespace, desk: Desk) -> int:
    by, case = desk.operator, desk.case(options.case)
    data = read_file(options.file, at_most_bytes=MAX_PRICE_LIST_BYTES)
    after = desk.services.planning.import_prices(
        case.id, data, by=by, file_name=options.file.name, decimal_mark=options.decimal_mark
    )
    count = (
        0
        if after.plan is None or after.plan.price_list is None
        else len(after.plan.price_list.rows)
    )
    print(f"{count} prices taken in for case {after.reference}.")
    return 0


COMMANDS = (
    Command(
        name="plan",
        about="print what the repair can cost, and on which tests the decision hinges",
        arguments=_plan_arguments,
        run=_plan,
    ),
    Command(
        name="plan-prices",
        about="take a shop's price list (CSV) into a case, whole or not at all",
        arguments=_prices_arguments,
        run=_prices,
    ),
)
