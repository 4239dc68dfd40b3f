"""Every sentence that the report says of itself. Sentences about rules come from the rule book.

Nothing here may say that a vehicle is safe: only what was recorded, and what was not.
"""

from rules import Basis
from triage_app.domain.admission.status import AdmissionState

TITLE = "Underbody damage report"

DRAFT = "DRAFT"
DRAFT_LONG = (
    "No senior technician has released this report. It shows what was recorded up to the case "
    "revision named below; findings may still be added, changed or withdrawn."
)
RELEASED = "RELEASED"
RELEASED_LONG = (
    "It speaks for the state of the case named below: every finding flagged for high voltage was "
    "reviewed, the make-safe record stood, and whatever was not seen has its reason."
)
DRAFT_BECAUSE = "Still open:"
REVIEW_INTRO = (
    "The rules' answer is never overwritten; a reviewer's stands beside it. A signature is bound "
    "to the hash of exactly what was shown, and any later change takes it away."
)
ADMISSION_STATES = {
    AdmissionState.HELD: "Held outside, unlifted.",
    AdmissionState.ADMITTED: "Admitted by decision.",
    AdmissionState.NO_SIGN: "No sign on record at the gate.",
}
NO_FINDING = "No finding is not the same as inspected."
CHECKLIST_INTRO = (
    "Each part at each place is damaged, without visible damage, not accessible or not inspected. "
    "What nobody wrote down counts as not inspected."
)
FOOTER = (
    "High voltage: the vehicle maker's procedure comes first. A disconnected battery still holds "
    "its energy."
)

MAKE_SAFE_LEAD = "Make-safe record: not recorded."
MAKE_SAFE_MEANING = (
    "This report holds no reading of absence of voltage, no person, time or instrument. Every "
    "high-voltage part therefore counts as energised."
)
MAKER_FIRST = (
    "The vehicle maker's procedure comes first, together with local codes and work by licensed or "
    "otherwise qualified persons. A disconnected battery still holds its energy."
)
NOT_ASSESSED = (
    "No finding is recorded, so nothing was assessed. That is not the same as no damage: whatever "
    "nobody looked at may be damaged."
)
NO_HV_FLAG = (
    "No finding is flagged for high voltage on what was recorded. That says nothing about places "
    "that nobody looked at, and it clears no part of the vehicle."
)

HAZARD_NOW_MEANING = "to people, until made safe and tested"
REPAIR_NEEDED_MEANING = "what the parts themselves need"
TWO_ANSWERS = (
    "These are two separate answers. The first is not the size of the claim; the second says "
    "nothing about danger."
)

NOT_IN_DRAFT = (
    "Not in this report:",
    "prices, price range and repair decision; the event log.",
)

STOP_LEAD = "Stop. No work on the vehicle until a qualified person has decided, because of this:"

FINDINGS_INTRO = (
    "The worst risk comes first; at equal risk, findings at high voltage come first. On each photo "
    "the finding that is described is marked in colour; other findings on the same photo are "
    "outlined thinly, with their numbers."
)
NOT_COMPARABLE = (
    "The file of the report that was released last carries no statement that can be read, so what "
    "changed since cannot be listed. Compare the two by hand."
)
NOTHING_CHANGED = "Nothing that a report states has changed since"
CHANGES_INTRO = (
    "Findings first, then records, price range and decision, prices, and the case as a whole. "
    "Whatever is not listed here stands as it was."
)
PLAN_VIEW = (
    "A drawing of no real car, seen as if one looked down through it: front at the top, the car's "
    "left on the left. Each tag has the number of the finding and the first letter of its risk."
)
NO_TRAVEL = ("Line of travel:", "nobody drew along which line the object passed.")
TRAVEL = (
    "It adds hazard to what lies on it and takes none from what lies beside it, since an object "
    "may bounce or break."
)
NO_MARK = "No photo shows this finding: nobody drew a mark for it, or the mark was taken off again."
NOT_FLAGGED = (
    "Not flagged for high voltage on what was recorded. This lowers nothing else, and it is not a "
    "statement about absence of voltage."
)
NO_ACTION = "The rule book names no action for this finding beyond the cautions of this report."
NO_TEST = "The rule book names no outstanding test for this finding."
TO_DO = "To be done:"
SAFING_FIRST = "safing first, by the vehicle maker's procedure and before anybody reaches in,"
RULES_LINK = "Rules that fired"
NEAR_ORANGE = (
    "a mark lies on or near an area that looks like orange cable (found by a program; it can add a "
    "flag, never remove one)"
)
NO_DECIDING_RULE = "No rule is named as deciding; the worst outcome counts."
NO_REPAIR_RULE = (
    "No single rule is named for it: the outcome that asks for the most work counts, and where no "
    "rule speaks, a test comes first."
)
BASIS = {
    Basis.REGULATION: "A regulation, named nowhere nearer.",
    Basis.STANDARD: "A standard, named nowhere nearer.",
    Basis.COMMON_PRACTICE: "Common practice, without a published source.",
    Basis.JUDGEMENT: "Judgement of the rule book, without a published source.",
}

SHOP_BASIS = {
    **BASIS,
    Basis.COMMON_PRACTICE: "Common practice by the shop's word, without a published source.",
    Basis.JUDGEMENT: "Judgement of the shop, without a published source.",
}

REMAINS = "What remains"
REMAINS_LEAD = "What remains, by the accepted records:"
FAILED_ON_CAR = (
    "Criterion not met on the car as a whole; where, is not known, so it counts as the worst:"
)
REMAINS_SHORT = "by the accepted records; the hazard now and the HV flags stay as they are"
HAZARD_STAYS = "The hazard now stays as it was found:"
REMAINS_ALL = "No record about this finding counts at present, so all of its hazard remains."
REMAINS_MEANING = (
    "What remains is a second answer, beside the hazard now and never in its place. It says "
    "nothing about places that were not tested, takes no HV flag away and releases nothing."
)
NO_CRITERION = "not given, so the result cannot count as met"
CAR_RECORDS = "Tests of the whole car on record"
CAR_RECORDS_INTRO = "Only what another person accepted, and what is still current, counts."
OUTCOME = "The car as a whole"
OVERALL = "Hazard now, overall"
QUARANTINE = "Where the car stands"
TRANSPORT = "How the battery may travel"
ADVICE_LINK = "In full"
NOT_ASSESSED_SHORT = "not assessed: no finding and no sign is recorded"
NO_SOURCE = "No published source."
WHOLE_CAR = "the whole car"
RULES_FIRED = "Rules that fired"
RULES_FIRED_INTRO = (
    "The worst that any rule asks for counts; the others fired too and decided nothing. The rule "
    "book itself, with every rule, can be had from the shop."
)
RULES_FIRED_NONE = "No rule fired, because nothing is recorded."

ACTIONS_INTRO = (
    "All steps that the findings require, in the order in which they are done. Safing steps come "
    "before any work in reach of a flagged finding. The vehicle maker's procedure, where it "
    "differs, replaces the step."
)
ACTIONS_NONE = "No step is required by the rule book, because no finding is recorded."
TESTS_INTRO = (
    "Results that are still missing and on which the outcome may turn. Until they are there, the "
    "worse answer counts."
)
TESTS_NONE = "The rule book names no outstanding test for what was recorded."

WITHDRAWN_INTRO = (
    "These findings were recorded and later withdrawn. They count neither for risk nor for repair "
    "and are kept here with the reason."
)
NOTHING_FOUND = (
    "Somebody looked at these photos and saw no damage on them. That clears nothing: a photo shows "
    "surfaces, and no finding is not the same as inspected."
)
UNMARKED_INTRO = (
    "No finding is marked on these photos, and nobody said that there is none. That does not say "
    "that they show no damage."
)
UNMARKED_MORE = "Further photos without a mark are listed in the photo log only."
UNMARKED_NONE = "Every photo of the case carries at least one mark."

PHOTO_LOG_INTRO = (
    "Originals are kept unchanged under their SHA-256. Pictures in this report are reduced copies "
    "without location or camera data. Times without a zone are those of the "
    "camera's own clock, which nobody compared with the real time; those in UTC were compared."
)
PHOTO_LOG_NONE = "No photo is recorded in this case."
NO_COMPLAINT = "no complaint"

READ_RISK = (
    "Risk is the hazard to people now. It follows from consequence and likelihood by the matrix of "
    "MIL-STD-882E (table III). What is not known counts as worse."
)
READ_HV = (
    (
        "At HV:",
        "the part itself, or what lies behind or close to it, belongs to the high-voltage system, "
        "or that could not be ruled out.",
    ),
    (
        "Within reach of HV:",
        "somebody who works at this place can come near a damaged high-voltage part.",
    ),
    ("No HV flag:", "nothing recorded asks for one. It is not a statement about voltage."),
)
READ_REPAIR = (
    "Repair needed is about the part alone: replace, test first, repair, clean and protect, or "
    "monitor. A damaged cable, connector, skid plate or part of an enclosure can often be replaced "
    "by itself; a hit on the battery does not by habit mean a whole battery."
)
READ_SUGGESTION = (
    "Areas that look like orange cable are found by a program on the photos. Such a suggestion can "
    "add a high-voltage flag and never removes one."
)

CAUTIONS = (
    "The vehicle maker's procedure for this model comes first: document and date belong to the "
    "make-safe record. Where it differs from this report, follow the procedure.",
    "Local codes and the rules for electrical work apply. Only licensed or otherwise qualified "
    "persons work on or near high voltage.",
    "A disconnected battery still holds its energy. Opening the service disconnect, a fired fuse "
    "or an opened contactor takes none of it away and replaces no reading.",
    "Absence of voltage at one point says nothing about another. A severed cable makes islands, "
    "and each of them may hold a charge.",
    "A damaged battery can catch fire hours, days or weeks later. No waiting time is enough by "
    "itself. Vent gas is flammable and toxic.",
    "Values from standards and regulations in this report are references for people who judge. "
    "They are not limits for releasing a vehicle; those are the maker's.",
    "Photos show surfaces. What lies behind a cover, inside an enclosure or under dirt is not "
    "shown and was not assessed from them.",
)

SOURCES_INTRO = (
    "Each statement above names its source. The status says how far the value was checked: read "
    "in the original, read in a copy, computed, from memory, or common practice without a "
    "published source."
)

RECORD_INTRO = (
    "With these numbers it can be checked later that the case and its journal are those on which "
    "this report rests."
)
SIGNED_INTRO = (
    "Who is named here released this report in the program, under their own sign-in; the journal "
    "holds it (see Record). The blank lines are for signing by hand."
)
SIGNATURES_INTRO = "Nobody has signed this draft. The lines are blank, for signing by hand."

COUNTS_LIVE = "Every high-voltage part counts as energised."
WATCH = (
    "Skin or enclosure is not cell temperature, and bare aluminium misreads in infrared. No "
    "reading and no waiting time is enough by itself."
)
NO_SIGN = (
    "Signs that were noted at the readings: none. That says nothing of the time between them, nor "
    "of the cells."
)
ISOLATION = (
    "An outstanding test of each island, by the maker's procedure and a qualified person; not a "
    "make-safe step. The result is below the reference or not below it; the maker's value decides."
)
NEVER_REPLACED = (
    "A fired fuse, a cut responder loop or a logged 'contactor open' never replaces a reading."
)
BASES = "Not one of these is a limit for releasing a vehicle; those are the maker's."
