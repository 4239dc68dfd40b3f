"""Every sentence of the review page, and of releasing a report."""

from collections.abc import Sequence

from rules import HvFlag, Risk
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.domain.review.queue import ReviewState
from triage_app.ui.words import counted

PAGE_REVIEW = "Review"
NEXT_EMPTY = "nothing waits for review; see on the report page what else a release needs."
FOR_SENIOR = "Reviewing is for a senior technician; what stands here can be read by all."
SIGNS_WHAT = (
    "A signature is bound to exactly what is shown: finding, marks, photos, what the rules say, "
    "and the rule book. Whatever of it changes afterwards takes the signature away, in plain view."
)
ONE_BY_ONE = "At high voltage: one by one"
GROUP = "Within reach of high voltage: together"
GROUP_ALL = "I have looked at these findings; acknowledge them all"
NONE_HERE = "None."
REVIEWER_SAYS = "The reviewer says"
CHANGED = "CHANGED SINCE IT WAS SIGNED"
NO_CLOSE_UP = "No photo shows this finding."
READINGS = "Test points and readings of the make-safe record"
TAKEN_BEFORE = "taken while no make-safe record stood"
TIME_NOT_KNOWN = (
    "nobody can tell when, for want of a time or because the camera's clock was not compared; "
    "counts as taken while no make-safe record stood"
)
CONFIRM = "Confirm"
ESCALATE = "Escalate"
LOWER = "Lower"
OTHER = "Escalate or lower"
TAKE_BACK = "Take back to what the rules say"
TO_FLAG = "HV flag"
TO_RISK = "Risk"
REASON = "Reason; it goes on record with your name"
SIGNED = "Signed in your name."
HISTORY = "On record"
VERDICTS = {
    ReviewVerdict.CONFIRMED: "confirmed",
    ReviewVerdict.ESCALATED: "escalated",
    ReviewVerdict.LOWERED: "lowered",
    ReviewVerdict.ACKNOWLEDGED: "acknowledged",
    ReviewVerdict.CORRECTED: "corrected what it is",
}
STATES = {
    ReviewState.WAITING: "waits for review",
    ReviewState.SIGNED: "signed",
    ReviewState.UNSIGNED: "changed since it was signed",
    ReviewState.NOT_ASKED: "no review asked for",
}
FLAGS = {
    HvFlag.AT_HV: "at HV",
    HvFlag.WITHIN_REACH: "within reach of HV",
    HvFlag.NONE: "no HV flag",
}
RISKS = {
    Risk.HIGH: "high",
    Risk.SERIOUS: "serious",
    Risk.MEDIUM: "medium",
    Risk.LOW: "low",
}

RELEASE = "Release this report"
RELEASE_MEANS = (
    "Releasing signs for the state of the case as it is now. A released report never changes; "
    "whatever comes after goes into the next one."
)
RELEASED = "RELEASED"
BLOCKED = "What keeps it a draft"
BLOCKED_ALL = "All of it, one by one"
RELEASE_FOR = "Releasing is for a senior technician."


def next_look(waiting: int) -> str:
    return (
        f"{counted(waiting, 'finding waits', 'findings wait')} for review. Look at each, then "
        "confirm, escalate or lower it in your own name."
    )


def blocked(held: Sequence[str]) -> str:
    if len(held) == 1:
        return held[0]
    return f"{counted(len(held), 'thing', 'things')}, the first: {held[0]}"


def before(number: int, at: str) -> str:
    return f"Photo {number}: {TAKEN_BEFORE}, {at}."


def without_time(numbers: Sequence[int]) -> str:
    photos = "Photo" if len(numbers) == 1 else "Photos"
    return f"{photos} {', '.join(map(str, numbers))}: {TIME_NOT_KNOWN}."


def taken(number: int, at: str) -> str:
    return f"Photo {number}: taken while the make-safe record stood, {at}."
