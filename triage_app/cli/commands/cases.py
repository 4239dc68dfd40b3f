"""new, list, show, run: cases as a whole."""

import argparse
from decimal import Decimal, InvalidOperation
from pathlib import Path

from rules import Powertrain
from triage_app.casefile.case_toml import MAX_CASE_TOML_CHARACTERS
from triage_app.cli.command import Command, Desk
from triage_app.cli.commands.photos import photo_line
from triage_app.cli.commands.reporting import issue_to
from triage_app.cli.documents import CaseListDocument, show
from triage_app.cli.files import check_writable, read_file
from triage_app.cli.words import case_lines, summary_line
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import SIGNS, Answer, Incident, Vehicle
from triage_app.services.case_script import load_case_file

_LISTED_AT_MOST = 1_000


def _new_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ref", metavar="TEXT", help="case reference; else the next free one of this year"
    )
    car = parser.add_argument_group("vehicle (what is left out is not known)")
    car.add_argument("--vehicle", metavar="TEXT", default="", help="what car it is")
    car.add_argument("--plate", metavar="TEXT", default="", help="number plate")
    car.add_argument("--vin", metavar="VIN", help="vehicle identification number")
    car.add_argument(
        "--powertrain",
        choices=[each.value for each in Powertrain],
        default=Powertrain.UNKNOWN.value,
        help="kind of drive",
    )
    car.add_argument("--system-voltage-v", metavar="V", type=float, help="highest DC voltage of HV")
    car.add_argument("--battery-energy-kwh", metavar="KWH", type=float, help="battery energy")
    car.add_argument("--battery-chemistry", metavar="TEXT", default="", help="as the maker says")
    car.add_argument("--charge-percent", metavar="PC", type=float, help="charge on arrival")
    car.add_argument("--odometer-km", metavar="KM", type=float, help="odometer reading")
    incident = parser.add_argument_group("incident")
    incident.add_argument("--happened-on", metavar="DATE", default="", help="date of the incident")
    incident.add_argument("--what-happened", metavar="TEXT", default="", help="in their own words")
    incident.add_argument("--arrived-how", metavar="TEXT", default="", help="how the car arrived")
    incident.add_argument("--insurer-ref", metavar="TEXT", default="", help="insurer's reference")
    incident.add_argument("--pre-loss-value", metavar="AMOUNT", help="value before the loss")
    incident.add_argument("--currency", metavar="CODE", default="", help="currency of that value")
    for sign in SIGNS:
        incident.add_argument(
            f"--{sign.replace('_', '-')}",
            choices=[each.value for each in Answer],
            default=Answer.UNKNOWN.value,
            help=f"{sign.replace('_', ' ')} on arrival; unknown counts as worse",
        )
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _new(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.services.intake.open_case(
        by=desk.operator,
        reference=options.ref,
        vehicle=Vehicle(
            description=options.vehicle,
            plate=options.plate,
            vin=options.vin,
            powertrain=Powertrain(options.powertrain),
            system_voltage_v=options.system_voltage_v,
            battery_energy_kwh=options.battery_energy_kwh,
            battery_chemistry=options.battery_chemistry,
            charge_on_arrival_percent=options.charge_percent,
            odometer_km=options.odometer_km,
        ),
        incident=Incident(
            happened_on=options.happened_on,
            what_happened=options.what_happened,
            arrived_how=options.arrived_how,
            insurer_reference=options.insurer_ref,
            pre_loss_value=_amount(options.pre_loss_value),
            currency=options.currency,
            **{sign: Answer(getattr(options, sign)) for sign in SIGNS},
        ),
    )
    if options.json:
        show(case)
        return 0
    print(f"Case {case.reference} is open.")
    if case.vehicle.vin_check_digit_differs:
        print("The ninth character of the VIN is not its check digit: read the VIN again.")
    return 0


def _amount(text: str | None) -> Decimal | None:
    try:
        return None if text is None else Decimal(text)
    except InvalidOperation as error:
        raise InvalidInputError(f"'{text}' is not an amount of money.") from error


def _list_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--search", metavar="TEXT", default="", help="in reference and vehicle")
    parser.add_argument("--limit", metavar="N", type=int, default=200, help="at most N (200)")
    parser.add_argument("--json", action="store_true", help="print as JSON")


def _list(options: argparse.Namespace, desk: Desk) -> int:
    limit = max(1, min(options.limit, _LISTED_AT_MOST))
    cases = desk.services.cases
    found = cases.summaries(limit=limit, search=options.search)
    total = cases.count(search=options.search)
    if options.json:
        show(CaseListDocument(total=total, cases=tuple(found)))
        return 0
    for summary in found:
        print(summary_line(summary))
    print(f"{len(found)} of {total} cases.")
    return 0


def _show_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _show(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.json:
        show(case)
        return 0
    for line in case_lines(case, desk.services.triage.assess_case(case), desk.rulebook):
        print(line)
    return 0


def _run_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case_file", metavar="CASE.toml", type=Path, help="the case file")
    parser.add_argument("--report", metavar="OUT.docx", type=Path, help="also write the report")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _run(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    text = _text_of(options.case_file)
    if options.report:
        check_writable(options.report)
    done = load_case_file(desk.services, options.case_file.resolve().parent, text, by=by)
    if options.report:
        issue_to(options.report, done.case, desk, by=by)
    if options.json:
        show(desk.services.cases.get(done.case.id))
        return 0
    for outcome in done.photos:
        print(photo_line(outcome))
    for line in case_lines(done.case, desk.services.triage.assess_case(done.case), desk.rulebook):
        print(line)
    if options.report:
        print(f"Report written to {options.report}.")
    return 0


def _text_of(path: Path) -> str:
    raw = read_file(path, at_most_bytes=4 * MAX_CASE_TOML_CHARACTERS)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InvalidInputError(f"'{path}' is not a text file in UTF-8.") from error


COMMANDS = (
    Command(name="new", about="open a case", arguments=_new_arguments, run=_new),
    Command(name="list", about="list the cases", arguments=_list_arguments, run=_list),
    Command(
        name="show",
        about="show a case: its photos, findings and what the rules say of them",
        arguments=_show_arguments,
        run=_show,
    ),
    Command(
        name="run",
        about="take in a whole case from a case file and the photos beside it",
        arguments=_run_arguments,
        run=_run,
    ),
)
