"""The make-safe record from the command line: the same entries, refusals and state as the page."""

import argparse
from datetime import date

from triage_app.cli.command import Command, Desk, UsageError
from triage_app.cli.commands.make_safe_entry import (
    case_argument,
    entry_arguments,
    instrument,
    instrument_arguments,
    record,
    say,
    slug,
)
from triage_app.domain.isolation import CurrentSystem, IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.entries import (
    Current,
    Happened,
    Happening,
    Keeping,
    LayoutChosen,
    MakerProcedure,
    PointReading,
    Protection,
    StepDone,
    TemperatureReading,
    WatchSign,
)
from triage_app.domain.safing.layouts import TEMPLATES, HvLayout, HvUnit
from triage_app.domain.safing.points import TestPoint
from triage_app.domain.safing.steps import STEPS, Step

_STEPS = {slug(step.name): step for step in STEPS}
_EVENTS = {slug(what.name): what for what in Happening}
_SIGNS = {sign.value: sign for sign in WatchSign}
_KEPT = {slug(kept.name): kept for kept in Keeping}
_UNITS = {slug(unit.name): unit for unit in HvUnit}
_CARRIES = {slug(system.name): system for system in CurrentSystem}
_TEMPLATES = {str(number): each for number, each in enumerate(TEMPLATES, start=1)}


def _step_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument(
        "step",
        metavar="STEP",
        choices=list(_STEPS),
        help=f"the step that was done: {', '.join(_STEPS)}",
    )
    parser.add_argument(
        "--reference",
        metavar="TEXT",
        default="",
        help="what it has to name: barrier, sources, lock and tag, known source, place",
    )
    parser.add_argument(
        "--instead", metavar="TEXT", default="", help="done otherwise by the maker: what, why"
    )
    parser.add_argument("--value", metavar="N", type=float, help="°C, or V on the known source")
    maker = parser.add_argument_group("the maker's procedure")
    maker.add_argument("--document", metavar="TEXT", default="", help="the maker's document")
    maker.add_argument("--document-date", metavar="TEXT", default="", help="its date or edition")
    maker.add_argument("--discharge-min", metavar="MIN", type=float, help="discharge time")
    maker.add_argument("--limit-dc-v", metavar="V", type=float, help="the maker's limit")
    worn = parser.add_argument_group("gloves and protection")
    worn.add_argument("--reader", metavar="NAME", default="", help="who wears the gloves")
    worn.add_argument("--glove-class", metavar="CLASS", default="", help="00, 0, 1, 2, 3 or 4")
    worn.add_argument("--gloves-tested", metavar="DATE", type=date.fromisoformat, help="last test")
    worn.add_argument("--gloves-issued", metavar="DATE", type=date.fromisoformat, help="in service")
    worn.add_argument("--air-tested", action="store_true", help="air test done today")
    worn.add_argument("--leather", action="store_true", help="leather over rubber")
    worn.add_argument("--face-and-arc", action="store_true", help="face and arc protection on")
    instrument_arguments(parser)
    entry_arguments(parser)


def _record_step(options: argparse.Namespace, desk: Desk) -> int:
    step = _STEPS[options.step]
    unit = "°C" if step is Step.FIRST_TEMPERATURE else "V"
    done = StepDone(
        step=step,
        reference=options.reference,
        instead=options.instead,
        value=options.value,
        unit="" if options.value is None else unit,
        instrument=instrument(options) if options.instrument else None,
        procedure=_procedure(options),
        protection=_protection(options),
    )
    return record(options, desk, done)


def _procedure(options: argparse.Namespace) -> MakerProcedure | None:
    given = (options.document, options.document_date, options.discharge_min, options.limit_dc_v)
    if not any(each not in (None, "") for each in given):
        return None
    return MakerProcedure(
        document=options.document,
        document_date=options.document_date,
        discharge_min=options.discharge_min,
        limit_dc_v=options.limit_dc_v,
    )


def _protection(options: argparse.Namespace) -> Protection | None:
    if not (options.reader or options.glove_class):
        return None
    return Protection(
        reader=options.reader,
        glove_class=options.glove_class,
        gloves_tested_on=options.gloves_tested,
        gloves_issued_on=options.gloves_issued,
        air_tested_today=options.air_tested,
        leather_over_rubber=options.leather,
        face_and_arc=options.face_and_arc,
    )


def _reading_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument("point", metavar="POINT", help="its number in 'make-safe', or its name")
    parser.add_argument(
        "turn", metavar="TURN", type=int, choices=(1, 2), help="first or second reading"
    )
    parser.add_argument("pole_to_pole_v", metavar="V", type=float, help="HV+ to HV-")
    parser.add_argument("positive_v", metavar="V+", type=float, help="HV+ to chassis")
    parser.add_argument("negative_v", metavar="V-", type=float, help="HV- to chassis")
    parser.add_argument("--ac", action="store_true", help="AC was read; else DC")
    parser.add_argument("--contact", action="store_true", help="probe contact was confirmed")
    entry_arguments(parser)


def _record_reading(options: argparse.Namespace, desk: Desk) -> int:
    point = _point(desk.services.safing.points(desk.case(options.case)), options.point)
    reading = PointReading(
        point_id=point.id,
        point_name=point.name,
        turn=options.turn,
        pole_to_pole_v=options.pole_to_pole_v,
        positive_to_chassis_v=options.positive_v,
        negative_to_chassis_v=options.negative_v,
        current=Current.AC if options.ac else Current.DC,
        contact_confirmed=options.contact,
    )
    return record(options, desk, reading)


def _point(points: tuple[TestPoint, ...], text: str) -> TestPoint:
    for number, point in enumerate(points, start=1):
        if text in (str(number), point.name, point.id):
            return point
    raise UsageError(f"There is no test point '{text}'. See them with: underbody make-safe CASE")


def _temperature_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument("celsius", metavar="CELSIUS", type=float, help="what was read, in °C")
    parser.add_argument("--place", metavar="TEXT", required=True, help="where on the battery")
    parser.add_argument("--ambient", metavar="CELSIUS", type=float, help="the air, in °C")
    parser.add_argument(
        "--sign", action="append", choices=list(_SIGNS), default=[], help="noticed now; repeat it"
    )
    parser.add_argument(
        "--kept", choices=list(_KEPT), default="unknown", help="how the car is kept away"
    )
    instrument_arguments(parser)
    entry_arguments(parser)


def _record_temperature(options: argparse.Namespace, desk: Desk) -> int:
    reading = TemperatureReading(
        place=options.place,
        value_c=options.celsius,
        ambient_c=options.ambient,
        instrument=instrument(options),
        signs=tuple(_SIGNS[name] for name in options.sign),
        kept=_KEPT[options.kept],
    )
    return record(options, desk, reading)


def _happening_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument("what", metavar="WHAT", choices=list(_EVENTS), help=f"{', '.join(_EVENTS)}")
    entry_arguments(parser)


def _record_happening(options: argparse.Namespace, desk: Desk) -> int:
    return record(options, desk, Happened(what=_EVENTS[options.what]))


def _layout_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    named = "; ".join(f"{number}: {each.name}" for number, each in _TEMPLATES.items())
    parser.add_argument(
        "--template", choices=list(_TEMPLATES), default="1", help=f"to start from. {named}"
    )
    parser.add_argument(
        "--without", action="append", choices=list(_UNITS), default=[], help="not fitted; repeat it"
    )
    parser.add_argument(
        "--with", dest="added", action="append", metavar="TEXT", default=[],
        help="a further unit or cable; repeat it",
    )  # fmt: skip
    parser.add_argument(
        "--document", metavar="TEXT", default="", help="the maker's document that shows it"
    )
    entry_arguments(parser)


def _choose_layout(options: argparse.Namespace, desk: Desk) -> int:
    template = _TEMPLATES[options.template]
    left_out = {_UNITS[name] for name in options.without}
    layout = HvLayout(
        units=tuple(unit for unit in template.units if unit not in left_out),
        extra=(*template.extra, *options.added),
        document=options.document,
    )
    return record(options, desk, LayoutChosen(layout=layout))


def _isolation_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument("island", metavar="ISLAND", help="its name in 'make-safe'")
    parser.add_argument("--working-v", metavar="V", type=float, required=True, help="nominal")
    parser.add_argument(
        "--carries", choices=list(_CARRIES), default="unknown", help="decides the reference"
    )
    how = parser.add_mutually_exclusive_group(required=True)
    how.add_argument(
        "--two-voltages", nargs=5, type=float, metavar=("VB", "V1", "V2", "OHM", "V"),
        help="pole to pole; negative, positive to chassis; known resistor; with it",
    )  # fmt: skip
    how.add_argument(
        "--tester", nargs=3, type=float, metavar=("OHM+", "OHM-", "V"),
        help="what an insulation tester showed, and its test voltage",
    )  # fmt: skip
    parser.add_argument("--instrument", metavar="TEXT", required=True, help="measured with what")
    parser.add_argument("--procedure", metavar="TEXT", required=True, help="the maker's, with page")
    entry_arguments(parser)


def _record_isolation(options: argparse.Namespace, desk: Desk) -> int:
    two = None
    if options.two_voltages:
        vb, v1, v2, resistor_ohm, v_prime = options.two_voltages
        two = TwoVoltages(vb=vb, v1=v1, v2=v2, resistor_ohm=resistor_ohm, v_prime=v_prime)
    positive_ohm, negative_ohm, test_v = options.tester or (None, None, None)
    measured = IsolationMeasurement(
        island=options.island,
        working_v=options.working_v,
        system=_CARRIES[options.carries],
        two_voltages=two,
        positive_ohm=positive_ohm,
        negative_ohm=negative_ohm,
        test_v=test_v,
        instrument=options.instrument,
        procedure=options.procedure,
    )
    if not options.json:
        for line in (*measured.calculation, measured.system.reference.cited):
            print(line)
        print(f"{measured.island}: {measured.verdict}.")
    return record(options, desk, measured)


def _show(options: argparse.Namespace, desk: Desk) -> int:
    return say(options, desk, desk.case(options.case))


def _show_arguments(parser: argparse.ArgumentParser) -> None:
    case_argument(parser)
    parser.add_argument("--json", action="store_true", help="print as JSON")


COMMANDS = (
    Command(
        name="make-safe",
        about="show where the make-safe record of a case stands, what is missing and why",
        arguments=_show_arguments,
        run=_show,
    ),
    Command(
        name="record-step",
        about="put a step of making safe on record, in the name of the second person",
        arguments=_step_arguments,
        run=_record_step,
    ),
    Command(
        name="record-reading",
        about="put the three voltages at a test point on record",
        arguments=_reading_arguments,
        run=_record_reading,
    ),
    Command(
        name="record-temperature",
        about="put a temperature, and the signs noticed with it, on record",
        arguments=_temperature_arguments,
        run=_record_temperature,
    ),
    Command(
        name="record-happening",
        about="put on record what happened to the car; it voids the make-safe record",
        arguments=_happening_arguments,
        run=_record_happening,
    ),
    Command(
        name="choose-layout",
        about="say which high-voltage units and cables this car has; test points follow from it",
        arguments=_layout_arguments,
        run=_choose_layout,
    ),
    Command(
        name="record-isolation",
        about="put the isolation of an island on record, with its calculation",
        arguments=_isolation_arguments,
        run=_record_isolation,
    ),
)
