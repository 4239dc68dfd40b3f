"""Every sentence that the screens say, but for marking and the report, which have their own.

Words for parts and damage come from the rule book.
"""

from collections.abc import Sequence

from rules import Consequence, Likelihood, RulebookStamp
from triage_app.ui.words import CONSEQUENCES, LIKELIHOODS, counted

PROGRAM = "Underbody Triage"
ABOUT = (
    "Damage under electric cars: from phone photos to a Word report in which every "
    "high-voltage finding is flagged."
)


def serving_at(address: str) -> str:
    return f"{PROGRAM} is running. Open {address}  (stop it with Ctrl+C)"


# Signing in -------------------------------------------------------------------------------------

SIGN_IN = "Sign in"
SIGN_OUT = "Sign out"
NOT_SIGNED_IN = "You are not signed in."
SIGN_IN_AGAIN = "Nobody is signed in here. Sign in to go on; nothing that was stored is lost."
NOTHING_HERE = "There is nothing at this address."
FORM_FROM_ELSEWHERE = "This form was not sent from our own page, so nothing was done."
FORM_TOO_OLD = "This page was open for too long or its cookie is gone. Try once more."
FORM_TOO_LARGE = "The form is too large."


def bad_picture_side(sizes: str) -> str:
    return f"A picture comes with side={sizes} or side=full."


# High voltage -----------------------------------------------------------------------------------

HV_TITLE = "HIGH VOLTAGE"
HV_FIRST = (
    "Follow the vehicle maker's procedure first, then local codes. Only people who are qualified "
    "and licensed for high voltage may work on this car."
)
HV_ENERGY = "A disconnected battery still holds its energy."
HV_MORE = "What to do first, and why"
HV_SIGN_ALT = "Warning sign: electricity"
STOP = "STOP"
STOP_TITLE = "Do not lift it, do not bring it indoors, do not reach in."


def stop_reasons(number: int) -> str:
    return counted(number, "reason", "reasons")


def hv_flagged(at_hv: Sequence[int], within_reach: Sequence[int]) -> str:
    """Say which findings are flagged, by number."""
    parts = []
    if at_hv:
        parts.append(f"{_findings(at_hv)} at high voltage")
    if within_reach:
        parts.append(f"{_findings(within_reach)} within reach of it")
    return f"Flagged: {'; '.join(parts)}." if parts else ""


def _findings(numbers: Sequence[int]) -> str:
    listed = ", ".join(str(number) for number in numbers)
    return f"finding {listed}" if len(numbers) == 1 else f"findings {listed}"


# Every page -------------------------------------------------------------------------------------

NEXT = "Next:"
PAGE_CASES = "Cases"
PAGE_INTAKE = "Intake and photos"
PAGE_SAFE = "Make-safe record"
PAGE_MARK = "Mark damage"
PAGE_TRIAGE = "Triage"
PAGE_REPORT = "Report"
PAGE_RULES = "Rule book"
NO_CASE = "No case is open here."
NO_CASE_NEXT = "choose a case, or open a new one."
DEMO = "Demo: all of it is invented"
DEMO_PREFIX = "DEMO-"
BROKEN_PAGE = (
    "Something went wrong in the program itself. What was stored is still there; reload the page. "
    "If it happens again, tell whoever looks after the program."
)


def case_title(reference: str, vehicle: str) -> str:
    return f"Case {reference}" + (f" · {vehicle}" if vehicle else "")


# Cases ------------------------------------------------------------------------------------------

CASES_NEXT = "open a case from the list, or start a new one for the car on the lift."
CASES_NEXT_EMPTY = "start the first case for the car on the lift."
SEARCH = "Search by reference or vehicle"
NEW_CASE = "New case"
NEW_REFERENCE = "Case reference"
NEW_REFERENCE_HINT = "Leave empty to get the next free number of this year."
NEW_VEHICLE = "Vehicle"
NEW_VEHICLE_HINT = "Make, model, colour: how the shop would call it."
OPEN_NEW_CASE = "Open the new case"
OPEN_CASE = "Open"
SHOW_MORE = "Show more"


def no_case_matches(search: str) -> str:
    return f"No case has “{search}” in its reference or vehicle."


def shown_of(shown: int, total: int) -> str:
    return f"{shown} of {total} cases, newest change first"


def case_line(photos: int, findings: int, opened: str) -> str:
    return (
        f"{counted(photos, 'photo', 'photos')} · "
        f"{counted(findings, 'finding', 'findings')} · opened {opened}"
    )


# Intake -----------------------------------------------------------------------------------------

INTAKE_NEXT_PHOTOS = "add the photos from under the car."
INTAKE_NEXT_MARK = "mark the damage on the photos."
CAR = "The car"
INCIDENT = "The incident"
WRITTEN_DOWN = "Written down for the report"
CHANGED_MEANWHILE = (
    "Somebody else changed this after it was shown here. What you save changes only what you "
    "entered yourself."
)
SHOW_STORED = "Show what is stored now"
SIGNS = {
    "smoke": "Smoke",
    "fire": "Fire or flames",
    "hissing": "Hissing or bubbling",
    "popping": "Popping",
    "odour": "Sweet or solvent odour",
    "rising_temperature": "Temperature rises",
    "swelling": "Battery bulges or sags",
    "water": "Was in water",
    "battery_leak": "Battery leaks",
    "broken_battery_mounts": "Battery mounts broken",
    "crushed_lifting_points": "Lifting points crushed",
}
VEHICLE_DESCRIPTION = "Vehicle"
PLATE = "Plate"
VIN = "VIN"
VIN_HINT = "17 letters and digits, never I, O or Q."
VIN_DIFFERS = (
    "The ninth character of this VIN is not the check digit that North American rules ask for. "
    "Compare it with the plate on the car; cars from elsewhere may differ."
)
POWERTRAIN = "Kind of drive"
SYSTEM_VOLTAGE = "Highest system voltage (V DC)"
SYSTEM_VOLTAGE_HINT = "Leave empty when it is not known: it then counts as high."
BATTERY_ENERGY = "Battery energy (kWh)"
CHEMISTRY = "Battery chemistry"
CHARGE = "Charge on arrival (%)"
ODOMETER = "Odometer (km)"
HAPPENED_ON = "Date and time"
WHAT_HAPPENED = "What happened, in the words of whoever brought the car"
ARRIVED_HOW = "How the car arrived"
INSURER_REFERENCE = "Insurer's reference"
PRE_LOSS_VALUE = "Value before the loss"
PRE_LOSS_HINT = "Digits only, for example 23800 or 23800.50. Leave empty when not known."
CURRENCY = "Currency"
CAR_WHY = "Why another voltage or drive is right, where a finding at high voltage gets milder by it"
SAVE_CAR = "Save the car"
SAVE_INCIDENT = "Save the incident"
CAR_SAVED = "The car is saved."
INCIDENT_SAVED = "The incident is saved."
VALUE_NOT_A_NUMBER = "The value before the loss must be a number, for example 23800.50."
PHOTOS = "Photos"
UPLOAD = "Add photos"
UPLOAD_HINT = (
    "JPEG, HEIC, PNG, WebP, TIFF or MPO, many at once, up to 200 MB each. The files are kept "
    "exactly as they are."
)
NO_PHOTOS = "No photo yet."


def storing(done: int, total: int) -> str:
    return f"Reading photo {done} of {total}"


def stored_summary(accepted: int, duplicates: int, refused: int) -> str:
    parts = [f"{accepted} accepted"]
    if duplicates:
        parts.append(f"{duplicates} already here")
    if refused:
        parts.append(f"{refused} refused")
    return ", ".join(parts)


def photo_caption(number: int, name: str) -> str:
    return f"{number} · {name}"


def taken_at(shown: str | None) -> str:
    return f"taken {shown} (camera clock)" if shown else "no time in the file"


# Triage -----------------------------------------------------------------------------------------

TRIAGE_NEXT_EMPTY = "mark the damage first; without findings nothing can be assessed."
TRIAGE_NEXT_REPORT = (
    "read the reasons, correct what is wrong under “Mark damage”, then make the report."
)
TRIAGE_NEXT_UNSAVED = "save what you entered under “Mark damage”; it is not in this answer yet."
CASE_ANSWER = "This case"
OUTCOME = "The advice in full, with its sources"
FINDING = "Finding"
HIGH_VOLTAGE = "High voltage"
HAZARD_NOW = "Hazard now"
HAZARD_NOW_MEANS = "to people, until it is made safe and tested"
REPAIR_NEEDED = "Repair needed"
REPAIR_NEEDED_MEANS = "what the part itself needs"
WHY_HV = "Why it is flagged for high voltage"
WHY_DECIDED = "What decided the hazard"
ACTIONS = "What has to be done"
OPEN_TESTS = "Tests that are still open"
TAKEN_AS_WORST = "Not known, so taken as worst"
EDIT_FINDING = "Show on the photo"


def answer_line(consequence: Consequence, likelihood: Likelihood) -> str:
    return (
        f"consequence {consequence.value} {CONSEQUENCES[consequence]}, "
        f"likelihood {likelihood.value} {LIKELIHOODS[likelihood]}"
    )


def open_test_line(test: str, by: str) -> str:
    return f"{test} By: {by}."


def safing_steps(number: int) -> str:
    return f"Before anyone reaches in: {counted(number, 'mandatory step', 'mandatory steps')}"


def rulebook_line(stamp: RulebookStamp) -> str:
    return f"Rule book {stamp.words}, SHA-256 {stamp.sha256[:12]}…"
