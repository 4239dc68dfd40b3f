"""Every sentence of the page of the make-safe record. Reasons and refusals come from the domain."""

from datetime import datetime

from rules.published import lowest_glove_class
from triage_app.domain.safing.entries import (
    Happening,
    Keeping,
    PointReading,
    WatchSign,
)
from triage_app.domain.safing.limits import counted_voltage_v
from triage_app.domain.safing.state import SafingState, SafingStatus
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.safing.voids import VoidCause
from triage_app.domain.safing.watch import PlaceTrend

NEXT_STEP = "do the step below by the maker's procedure; the second person taps, the reader reads."
NEXT_AGAIN = "do what stands in the red box, then begin the record again."
NEXT_RECORDED = (
    "go on to the photos; come back at once if anything happens to the car, and keep reading the "
    "temperature."
)
TITLE_STATE = {
    SafingState.NOT_RECORDED: "Absence of voltage: NOT RECORDED",
    SafingState.RECORDED: "Absence of voltage recorded at the points below",
    SafingState.VOID: "The make-safe record is VOID",
}
ALL_LIVE = "Everything of the high-voltage system counts as live."
NOT_COVERED = "Not covered:"
DO_NOW = "What to do now"
WARNING, DANGER = "WARNING", "DANGER"
MAKER_FIRST = (
    "The vehicle maker's procedure comes first, then local codes; only qualified persons work on "
    "high voltage."
)
CHEMICALS = (
    "Gloves against voltage are no gloves against chemicals: vent gas is flammable and toxic."
)
BASES_TITLE = "Where the steps and figures are from"
BASES_INTRO = "References for people who judge; none is a limit for releasing a vehicle."
TAB_RECORD, TAB_EVENT, TAB_WATCH, TAB_ISOLATION, TAB_POINTS = (
    "Record",
    "Something happened",
    "Temperature",
    "Isolation",
    "Points and layout",
)
STEP_SENTENCES = {
    Step.MAKER_PROCEDURE: "Take the maker's high-voltage procedure for this model and write down "
    "its discharge time and its limit.",
    Step.AREA_BARRED: "Bar the area off and put up the signs.",
    Step.CHARGER_UNPLUGGED: "Unplug the charger.",
    Step.KEY_AWAY: "Take every key away, out of reach of the car's radio.",
    Step.WHEELS_BLOCKED: "Block the wheels. Nobody turns them from now on.",
    Step.FIRST_TEMPERATURE: "Read a first temperature at the battery.",
    Step.DATA_SAVED: "Read and save codes and cell data, only where that does not wake the "
    "high-voltage system.",
    Step.PROTECTION: "Gloves on, leather over rubber, face and arc protection. The second person "
    "records, so that the reader keeps the gloves on.",
    Step.SOURCES_IDENTIFIED: "Name every source: battery, charger, 12 V, solar, trailer.",
    Step.VEHICLE_OFF: "Switch the vehicle off.",
    Step.LOW_VOLTAGE_OFF: "Take the 12 V supply off.",
    Step.DISCONNECT_OPEN: "Open the service disconnect, or the maker's alternative where none is "
    "fitted.",
    Step.LOCKED_AND_TAGGED: "Lock it and tag it. Whoever works holds the key of the lock.",
    Step.TRY_START: "Try to start the car: nothing may wake up.",
    Step.DISCHARGE_WAITED: "Wait the maker's discharge time.",
    Step.INSTRUMENT_PROVED: "Prove the instrument on a known source.",
    Step.INSTRUMENT_PROVED_AGAIN: "Prove the same instrument again on the same source.",
}
REFERENCES = {
    Step.AREA_BARRED: "Barrier and signs",
    Step.SOURCES_IDENTIFIED: "Every source, and the document that shows them",
    Step.LOCKED_AND_TAGGED: "Lock, tag, and who holds the key",
}
WHY = "Why:"
NEVER_REPLACED = (
    "A fired fuse, a cut responder loop or a logged 'contactor open' never replaces a reading."
)
DONE = "Done, record it"
NOTE = "Note"
PHOTO = "Photo"
NO_PHOTO = "none"
MORE = "Note or photo"
OTHERWISE = "Done otherwise, or left out, by the maker's procedure"
OTHERWISE_WHAT = "What was done instead, or why it was left out"
OTHERWISE_REFERENCE = "Which document and page of the maker has it otherwise"
DOCUMENT = "Maker's document"
DOCUMENT_DATE = "Its date or edition"
DISCHARGE_MIN = "Discharge time in minutes, the maker's figure"
LIMIT_V = "The maker's limit in V DC (empty: 60 V DC, a class limit)"
PLACE = "Place on the battery"
VALUE_C = "Temperature in °C"
AMBIENT_C = "Air in °C"
INSTRUMENT = "Instrument"
SERIAL = "Serial number"
CATEGORY = "Measurement category"
RATED_V = "Rated for V"
CALIBRATION_DUE = "Calibrated until"
READER = "Who wears the gloves and reads"
GLOVE_CLASS = "Glove class"
GLOVES_TESTED = "Gloves tested on"
GLOVES_ISSUED = "In service since"
AIR_TESTED = "Air test done today"
LEATHER = "Leather over rubber"
FACE = "Face and arc protection on"
KNOWN_SOURCE = "Known source"
KNOWN_V = "Voltage shown on it, in V"
POLE_TO_POLE = "HV+ to HV- in V"
POSITIVE = "HV+ to chassis in V"
NEGATIVE = "HV- to chassis in V"
CURRENT = "Kind of voltage"
CONTACT = "Probe contact confirmed at both probes"
RECORD_READING = "Record these three readings"
LATER_READING = "Read a point once more"
LATER_INTRO = (
    "A later reading adds nothing to the record. One above the limit, or higher than the one "
    "before, makes it void."
)
LATER_POINT = "Point that was read once more"
NUMBERS_MISSING = "Enter all three voltages; a reading that was not taken is not zero."
NOT_A_VALUE = "Enter the value that was read; what was not read is not zero."
EVENT_INTRO = "Tap at once what happened. It makes the record void; it is taken down in any state."
EVENTS = {
    Happening.LOW_VOLTAGE_RECONNECTED: "12 V connected again",
    Happening.DISCONNECT_REFITTED: "Service disconnect fitted again",
    Happening.CHARGER_CONNECTED: "Charger connected",
    Happening.LOCK_REMOVED: "Lock taken off",
    Happening.WHEEL_TURNED: "Wheel turned",
    Happening.VEHICLE_MOVED: "Vehicle moved",
}
EVENT_STORED = "Taken down. Read the red box."
BEGIN_AGAIN = "Begin the record again"
BEGUN_AGAIN = "Begun again. Every step and every point is done anew; the old record stays on file."
STORED = "Recorded."
DONE_STEPS = "Recorded so far"
STEP_COLUMNS = ("Step", "Time (UTC)", "Recorded by", "What")
LEFT_OUT = "Entered, and does not count"
LEFT_OUT_COLUMNS = ("Entry", "Time (UTC)", "Recorded by", "Why it does not count")
POINT_COLUMNS = ("Test point", "First reading", "Second reading")
UNREAD = "not read"
WATCH_INTRO = (
    "Skin or enclosure is not the temperature of the cells, and bare aluminium misreads in "
    "infrared. No reading and no waiting time is ever enough by itself. Signs are asked at every "
    "reading."
)
WATCH_NONE = "No temperature is recorded."
SIGNS = {
    WatchSign.SMOKE: "Smoke",
    WatchSign.HISSING: "Hissing",
    WatchSign.POPPING: "Popping",
    WatchSign.ODOUR: "Sweet or solvent odour",
    WatchSign.SWELLING: "Swelling",
}
SIGNS_NOTICED = "Signs noticed now"
KEPT = "How the car is kept away"
KEEPING = {kept: kept.value for kept in Keeping}
RECORD_TEMPERATURE = "Record this temperature"
PLOT_ALT = "Temperatures over time"
ISOLATION_INTRO = (
    "An outstanding test, never a make-safe step: the two-voltage method needs a live bus, "
    "and an insulation tester stresses a damaged one. By the maker's procedure and a qualified "
    "person only. The result never says more than below the reference, or not below it."
)
ISLAND = "Island"
ISLAND_COLUMNS = ("Island", "Where its test stands")
METHOD = "Method"
WORKING_V = "Working voltage in V"
SYSTEM = "What the island carries"
VB, V1, V2 = "Vb, pole to pole, V", "V1, negative to chassis, V", "V2, positive to chassis, V"
RESISTOR, V_PRIME = "Known resistor, ohm", "That side again with it, V"
TWO_VOLTAGES_HINT = (
    "Read Vb, V1 and V2; put the known resistor between the chassis and the side with the larger "
    "reading, and read that side again. Meter of at least 10 Mohm (UN R100 annex 1.2; read in a "
    "copy)."
)
POSITIVE_OHM, NEGATIVE_OHM = "Positive to chassis, ohm", "Negative to chassis, ohm"
TEST_V = "Test voltage in V"
PROCEDURE = "The maker's procedure: document, page"
RECORD_ISOLATION = "Record this measurement"
LAYOUT_INTRO = (
    "Test points follow from the units that the car has and from what was found damaged. A unit is "
    "left out only where a document of the maker shows that the car has none."
)
TEMPLATE = "Start from"
AS_CHOSEN = "as chosen for this car"
UNITS = "Units of this car"
EXTRA = "Further units and cables, one a line; each is a test point"
LAYOUT_DOCUMENT = "Document that shows it"
CHOOSE_LAYOUT = "Use this layout"
PHOTOS_BEFORE = "Photos with a finding that were taken before the record stood"
PHOTOS_UNTIMED = (
    "photos with a finding have no known time (compare the camera's clock), so nobody can tell "
    "whether they were taken before the record."
)


def record_line(status: SafingStatus) -> str:
    """Return the record in one or two sentences; never a bare word."""
    if status.state is SafingState.VOID:
        return f"Make-safe record: VOID, because {status.voids[0].sentence}. {ALL_LIVE}"
    if status.state is SafingState.NOT_RECORDED or status.stands_since is None:
        return "Make-safe record: not recorded."
    return (
        f"Make-safe record: absence of voltage recorded at {len(status.covered)} test points, "
        f"{moment(status.stands_since)}, read by {status.reader}, recorded by "
        f"{', '.join(status.recorders)}. Nothing else is covered."
    )


def still_missing(count: int) -> str:
    return f"Still missing ({count}), and what is not covered"


def recorded_sentence(status: SafingStatus) -> str:
    since = moment(status.stands_since) if status.stands_since else ""
    return (
        f"{since}, read by {status.reader}, recorded by {', '.join(status.recorders)}; limit "
        f"{status.limit_dc_v:g} V DC / {status.limit_ac_v:g} V AC."
    )


def moment(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"


def step_title(step: Step) -> str:
    return f"Step {STEPS.index(step) + 1} of {len(STEPS)}: {step}"


def reading_title(name: str, turn: int, left: int) -> str:
    which = "First" if turn == 1 else "Second"
    return f"{which} reading: {name} ({left} {'reading' if left == 1 else 'readings'} left)"


def volts(reading: PointReading) -> str:
    a, b, c = reading.voltages
    return f"{a:g} / {b:g} / {c:g} V {reading.current}"


def wait_until(at: datetime) -> str:
    return f"Not before {at:%H:%M:%S} UTC by the maker's figure."


def next_due(at: datetime | None, *, is_overdue: bool) -> str:
    if at is None:
        return "A first temperature is due now."
    if is_overdue:
        return f"OVERDUE: the next temperature was due at {moment(at)}. Read it now."
    return f"The next temperature is due at {moment(at)}."


def glove_hint(voltage_v: float | None) -> str:
    """Say which gloves this car needs by the table; the table is a minimum."""
    counted_v = counted_voltage_v(voltage_v)
    named = "nobody gave its voltage, so it counts as" if voltage_v is None else "its voltage is"
    return (
        f"For this car, {named} {counted_v:g} V DC: class {lowest_glove_class(counted_v).name} is "
        "the least by the table. The table is a minimum; class 0 is common practice at 400 V."
    )


def kept_line(kept: Keeping) -> str:
    """Say how the car is kept away, and what to do where it is not."""
    if kept in (Keeping.DISTANCE, Keeping.BARRIER):
        return f"{KEPT}: {kept}."
    return f"{KEPT}: {kept}. Keep {Keeping.DISTANCE}, or set up a {Keeping.BARRIER}."


def sign_line(sign: WatchSign, at: datetime) -> str:
    return f"{SIGNS[sign]} was noticed at {moment(at)}: {VoidCause.SIGN_SEEN.do_now}"


def trend_line(trend: PlaceTrend) -> str:
    last = trend.readings[-1]
    line = f"{trend.place}: {last.value_c:g} °C at {last.at:%H:%M} UTC"
    if trend.rise_c is not None:
        line += f", {trend.rise_c:+z.1f} °C since the first reading"
    else:
        line += ", the first reading there, so no rise can be seen yet"
    if trend.per_hour_c is not None and trend.lately_per_hour_c is not None:
        line += (
            f", {trend.per_hour_c:+z.1f} °C per hour; {trend.lately_per_hour_c:+z.1f} °C per hour "
            "between the last two"
        )
    if trend.is_rising:
        line += f". RISE of {trend.highest_rise_c:.1f} °C: away from the car and watch"
    return f"{line}."
