"""Every sentence of the gate, and of the inspection checklist."""

from triage_app.domain.admission.entries import Verdict
from triage_app.domain.admission.status import AdmissionState
from triage_app.domain.inspection.entries import ItemState
from triage_app.domain.vehicle import Answer
from triage_app.ui.words import counted

PAGE_GATE = "At the gate"
NEXT_ANSWER = (
    "answer each sign in your own name before the car comes indoors or onto the lift; look, listen "
    "and smell from a distance."
)
NEXT_DECIDE = "a senior technician decides with a reason; until then the car stays where it is."
NEXT_SAFE = "keep the make-safe record before anyone reaches in."
STATE_TITLES = {
    AdmissionState.HELD: "HELD OUTSIDE, UNLIFTED",
    AdmissionState.ADMITTED: "Admitted by decision",
    AdmissionState.NO_SIGN: "No sign on record",
}
HELD_MEANS = (
    "Leave it outside and unlifted, away from people, buildings and other cars, at the distance "
    "that the triage page names, and watch it. Call the fire service where it smokes, hisses, "
    "pops or burns."
)
NOT_YET = (
    "This car is held outside, unlifted: nobody reaches into it yet. Answer every sign at the "
    "gate, or have a senior technician decide there with a reason; then the record goes on here. "
    "Temperatures and events can be put down meanwhile."
)
ADMITTED_MEANS = (
    "The decision covers the answers listed here and no other. Go on looking and listening."
)
NO_SIGN_MEANS = (
    "That nobody noticed a sign says nothing about the battery. Go on looking and listening."
)
MAKER_FIRST = (
    "Follow the vehicle maker's procedure and local rules; only qualified people go near such a "
    "car. Gas from a battery burns and poisons, and HV gloves are not chemical gloves."
)
HOLDS = "These answers hold it"
COVERED = "Answers that the decision covers"
NOBODY = "nobody answered it by name"
UNANSWERED = "not answered yet"
ANSWERS = {Answer.YES: "Yes", Answer.NO: "No", Answer.UNKNOWN: "Not known"}
NOTE = "What was seen or heard, for the next answer (if wanted)"
REST_NO = "All others: no"
REST_NO_HELP = "For every sign that nobody answered yet, in your name."
ANSWERED = "Kept in your name."
DECIDE = "Decide about this car"
DECIDE_INTRO = (
    "For a senior technician. The reason goes on record with your name and the answers above."
)
VERDICT = "Decision"
VERDICTS = {
    Verdict.ADMITTED: "It may come in and onto the lift",
    Verdict.KEPT_OUTSIDE: "It stays outside, unlifted",
}
REASON = "Reason"
DECIDE_SAVE = "Put this decision on record"
DECIDED = "The decision is on record."
HELD_SHORT = "Held outside, unlifted"
ADMITTED_SHORT = (
    "Signs on record; admitted by a named decision that covers these alone. Do not reach in."
)
GO_TO_GATE = "The signs on arrival are answered at the gate."

PAGE_CHECKLIST = "Checklist"
CHECKLIST_NEXT = "go around the car zone by zone; say what was seen, and why what was not."
CHECKLIST_DONE = "everything on the list is seen or explained."
NO_FINDING = "No finding is not the same as inspected: what nobody looked at stays “not inspected”."
STATES = {
    ItemState.DAMAGED: "Damaged",
    ItemState.NO_VISIBLE_DAMAGE: "No visible damage",
    ItemState.NOT_ACCESSIBLE: "Not accessible",
    ItemState.NOT_INSPECTED: "Not inspected",
}
MARKS = {
    ItemState.DAMAGED: "■",
    ItemState.NO_VISIBLE_DAMAGE: "✓",
    ItemState.NOT_ACCESSIBLE: "⊘",
    ItemState.NOT_INSPECTED: "?",
}
ZONE = "Zone"
COVERS = "Covers and shields of this zone while looking"
COVERS_WORDS = {None: "not said", True: "off", False: "on"}
WHY_NOT = "Why not, for what you tap as not accessible or not inspected"
REST_OF_ZONE = "The rest of this zone"
REST_SEEN = "The rest of this zone was looked at, but for battery and high voltage"
REST_OF_CAR = "The rest of the whole car"
WHY_REST_OF_CAR = "Why not, for everything that nobody wrote anything of"
ONE_BY_ONE = "Part by part"
SAVED = "Kept in your name."
CONTRADICTED = "somebody saw no damage here, and a finding says otherwise"
LACKS_FINDING = "somebody saw damage here; mark it or add the finding"
UNEXPLAINED = "To be explained before release"
UNPLACED = "A finding of a part that nobody named stands in no zone; name it on the marking page."
EXPECTED = "Photos that an insurer expects"
EXPECTED_SHOWN = "Photo"
EXPECTED_WHY = "or why there is none"
EXPECTED_SAVE = "Keep these"


def still_unanswered(number: int) -> str:
    return f"{counted(number, 'sign has', 'signs have')} no answer by name."


def left(number: int) -> str:
    return counted(number, "thing is not explained yet", "things are not explained yet")
