"""Every sentence about what is seen on a photo: orange areas, retakes, clocks, views."""

from triage_app.domain.proposals import Opinion
from triage_app.ui.words import counted

ORANGE_HINT = (
    "Found by their colour and shape, dotted on the photo. A mark near one raises the HV flag of "
    "its finding: looks near an orange cable, check. What you say here is kept for the reviewer "
    "and clears no flag. None found says nothing."
)
ORANGE_SAY = "Say what it is"
ORANGE_SAVE = "Put it on record"
ORANGE_REASON = "Why"
ORANGE_REASON_HINT = "For example: a strap of the lift"
ORANGE_WORDS = {
    Opinion.CABLE: "It is, or may be, an HV cable",
    Opinion.NO_CABLE: "It is something else",
}
ORANGE_SHORT = {Opinion.CABLE: "taken for cable", Opinion.NO_CABLE: "taken for something else"}
ORANGE_UNSAID = "nobody has said what it is"
ORANGE_KEPT = "It is on record. No flag was changed by it."


def orange_title(count: int, unsaid: int) -> str:
    left = f", {unsaid} to look at" if unsaid else ""
    return f"{counted(count, 'orange area', 'orange areas')} on this photo{left}"


def orange_name(area: int) -> str:
    """Name an area by its place, counted from 0; people count from 1."""
    return f"Area {area + 1}"


def opinion_line(opinion: Opinion, by: str, reason: str) -> str:
    return f"{ORANGE_SHORT[opinion]} by {by}: {reason}"


def orange_label(area: int, opinion: Opinion | None) -> str:
    """Return what the photo itself says at an area."""
    return f"A{area + 1}" + ("?" if opinion is None else "")


# Retakes ----------------------------------------------------------------------------------------

RETAKE = "Retake this one, while the car is still up:"
RETAKE_UPLOAD = "Retake, while the car is still up:"


def retake_at_mark(photo_number: int) -> str:
    return f"Retake photo {photo_number} of this damage, while the car is still up:"


# Clocks -----------------------------------------------------------------------------------------

CLOCK_TITLE = "Was a camera's clock wrong?"
CLOCK_HINT = (
    "Look at the camera's clock and at the wall clock at the same moment, and write both down. "
    "Photos are then shown in the order in which they were really taken."
)
CLOCK_CAMERA = "Camera"
CLOCK_ALL = "Every camera of this case"
CLOCK_SHOWN = "The camera's clock shows"
CLOCK_REALLY = "The wall clock shows, with its zone"
CLOCK_SAVE = "Put the comparison on record"
CLOCK_KEPT = "The comparison is on record; the photos are in their real order."
CLOCK_FORM = "2031-05-04 09:00:00"
CLOCK_FORM_ZONE = "2031-05-04 10:00:00+02:00"


def really_taken(at: str) -> str:
    return f"taken {at} (camera clock corrected)"


def not_a_time(given: str, example: str) -> str:
    return f"'{given}' is not a time; write it like {example}."
