"""What an entry of the record says, in one line, for screen and report alike."""

from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import (
    Entered,
    Happened,
    PointReading,
    SafingInstrument,
    StepDone,
    TemperatureReading,
)


def entry_name(what: Entered) -> str:
    """Return what an entry is of, in a few words, with the voltages of a reading."""
    match what:
        case StepDone():
            return what.step.value
        case PointReading():
            turn = "first" if what.turn == 1 else "second"
            volts = " / ".join(f"{each:g}" for each in what.voltages)
            return f"{turn} reading of {what.point_name}: {volts} V {what.current}"
        case TemperatureReading():
            return f"temperature at {what.place}: {what.value_c:g} °C"
        case Happened():
            return what.what.value
        case IsolationMeasurement():
            return f"isolation of {what.island}"
        case _:
            return "layout of the car"


def particulars(done: StepDone, note: str) -> str:
    """Return everything that was written down with a step, in one line."""
    parts = [done.reference, f"instead: {done.instead}" if done.instead else ""]
    if done.value is not None:
        parts.append(f"{done.value:g} {done.unit}")
    if done.instrument is not None:
        parts.append(instrument(done.instrument))
    if done.procedure is not None:
        made = done.procedure
        limit = "not given" if made.limit_dc_v is None else f"{made.limit_dc_v:g} V DC"
        parts.append(
            f"{made.document}, {made.document_date}; discharge {made.discharge_min:g} min; "
            f"limit {limit}"
        )
    if done.protection is not None:
        worn = done.protection
        parts.append(
            f"{worn.reader} reads; gloves class {worn.glove_class}, tested {worn.gloves_tested_on}"
            f", in service since {worn.gloves_issued_on or 'not known'}; air test, leather, face "
            "and arc protection"
        )
    if done.points:
        parts.append(f"{len(done.points)} test points")
    return "; ".join(part for part in (*parts, note) if part)


def instrument(used: SafingInstrument) -> str:
    parts = [used.name, used.serial, used.category.value if used.category else ""]
    if used.rated_v is not None:
        parts.append(f"{used.rated_v:g} V")
    if used.calibration_due is not None:
        parts.append(f"calibrated until {used.calibration_due}")
    return " ".join(part for part in parts if part)
