"""Every sentence about tests, replaced parts and the maker's word on record, and what remains."""

from rules import EvidenceKind, TestOutcome
from triage_app.domain.evidence import Instruction
from triage_app.domain.evidence_standing import Standing
from triage_app.ui.words import counted

HAZARD_NOW = "Hazard now"
HAZARD_NOW_MEANS = "what was found; it stays whatever is tested later"
REMAINS = "What remains"
REMAINS_MEANS = "by the accepted records; no statement about places that were not tested"
REMAINS_NOTHING = "No accepted record speaks of this finding, so all of its hazard remains."
REMAINS_NO_RELEASE = (
    "What remains is shown beside the hazard and never replaces it. The high-voltage flag stays, "
    "and none of this releases the car: that is for the maker's procedure and a qualified person."
)
LIKELIHOOD_LEFT = "Likelihood that remains"
NEED_LEFT = "The part then needs"
BECAUSE = "Because"
AS_HAZARD_NOW = "as hazard now"
NOTHING_OPEN = "The rule book names no further test for it."
OUTSTANDING = "Outstanding tests"
NO_TEST = "The rule book asks for no test here."

RECORDS = "On record"
NO_RECORDS = "Nothing is on record yet."
RECORDED = "Recorded by"
VALUE = "Value"
INSTRUMENT = "Instrument"
CRITERION = "Maker's criterion"
NO_CRITERION = "not given, so the result cannot count as met"
NOTE = "Note"
ACCEPT = "Accept: it counts"
DECLINE = "Decline"
WITHDRAW = "Withdraw"
REASON = "Reason (to decline or withdraw)"
REASON_NEEDED = "Write the reason first; it stays on record with your name."
OWN_RECORD = "You recorded this yourself, so another person has to accept or decline it."

ADD = "Put something on record"
KIND = "What is it"
TEST = "Which test"
TEST_OTHER = "not asked for by the rules"
OUTCOME = "How it came out, against the maker's criterion"
VALUE_FIELD = "Measured value"
UNIT = "Unit"
INSTRUMENT_FIELD = "Instrument"
SERIAL = "Serial number"
CALIBRATED = "Calibrated until"
CRITERION_FIELD = "The maker's criterion, as the document words it"
DOCUMENT = "The maker's document"
DOCUMENT_DATE = "Its date or edition"
CRITERION_HINT = (
    "Without the maker's criterion, its document and date, a result counts as inconclusive. No "
    "value of ours and no value of a standard takes its place."
)
INSTRUCTION = "What the maker says that the part needs"
SAVE = "Put it on record"
SAVED = "It is on record, and waits for another person to accept it."
ACCEPTED = "Accepted. What remains is worked out anew below; the hazard now stays as it was."
DECLINED = "Declined, with your reason."
WITHDRAWN = "Withdrawn, with your reason."
FINDING_CHANGED = (
    "This finding was changed since the form was shown. A record saved now is about the finding "
    "as it was then, and is not current."
)
KINDS = {
    EvidenceKind.TEST_RESULT: "Result of a test",
    EvidenceKind.PART_REPLACED: "The part was replaced",
    EvidenceKind.MAKER_INSTRUCTION: "An instruction of the maker",
}
OUTCOMES = {
    TestOutcome.MET: "Criterion met",
    TestOutcome.NOT_MET: "Criterion not met",
    TestOutcome.INCONCLUSIVE: "Inconclusive",
}
INSTRUCTIONS = {
    Instruction.REPLACE: "Replace it",
    Instruction.TEST_FIRST: "Test it first",
    Instruction.REPAIR: "Repair it",
    Instruction.CLEAN_AND_PROTECT: "Clean and protect it",
    Instruction.MONITOR: "Note it and look again",
}
STANDINGS = {
    Standing.WAITING: "Waiting for another person to accept it; it does not count yet",
    Standing.COUNTS: "Accepted; it counts",
    Standing.NOT_CURRENT: "Not current: the finding, or the car's voltage or kind of drive, was "
    "changed since; it does not count",
    Standing.ON_HOLD: "On hold until a later or worse result is decided on; it does not count",
    Standing.SUPERSEDED: "Superseded by a retest; it does not count any more",
    Standing.DECLINED: "Declined; it does not count",
    Standing.WITHDRAWN: "Withdrawn; it does not count any more",
}


def open_panel(tests: int, waiting: int) -> str:
    """Label the button that opens the panel."""
    parts = [f"{tests} open"]
    if waiting:
        parts.append(f"{waiting} to accept")
    return f"Tests and records ({', '.join(parts)})"


def of_whole_car(tests: int, waiting: int) -> str:
    more = f", {waiting} to accept" if waiting else ""
    return f"Tests of the whole car ({counted(tests, 'test', 'tests')} open{more})"


def record_title(number: int, what: str) -> str:
    return f"Record {number}: {what}"


def decided(verdict: str, by: str, when: str, reason: str) -> str:
    return f"{verdict} by {by}, {when}" + (f": {reason}" if reason else "")


def calibrated_until(when: str) -> str:
    return f"calibrated until {when}"


CALIBRATION_UNKNOWN = "calibration not recorded"
