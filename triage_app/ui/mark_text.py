"""Every sentence of marking damage and tagging findings."""

from collections.abc import Sequence

from triage_app.domain.measuring import Size
from triage_app.ui.words import NOT_SAID, counted

MARK_NEXT_NO_PHOTOS = "add photos first, then mark the damage on them."
MARK_NEXT_DRAW = "draw around each damage on this photo, then say what it is."
MARK_NEXT_TAG = "say what is damaged and how, then save."
MARK_NEXT_GO_ON = "draw around the next damage, or go to the next photo."
NOTHING_FOUND = "Nothing found here"
NOTHING_FOUND_BACK = "Look here again"
NOTHING_LEFT_TO_LOOK_AT = "Every photo has a mark or a word."
PREVIOUS_PHOTO = "◀ Previous"
NEXT_PHOTO = "Next ▶"
FINDINGS = "Findings of this case"
FINDINGS_NONE = "No finding yet. Draw around a damage on the photo."
FINDINGS_HINT = "Choose one here, or tap its mark on the photo."
BACK_TO_LIST = "Back to all findings"
COMPONENT = "Damaged part"
DAMAGE = "Kind of damage"
ZONE = "Zone"
SIDE = "Side, as the driver sees it"
SIZE = "Size of the damage in mm; empty is not measured"
LENGTH = "Length"
WIDTH = "Width"
DEPTH = "Depth"
MEASURED_HOW = "How it was measured"
SOURCES = "Measured on a photo"
SIZES_FROM_PHOTO = {
    Size.LENGTH: "length",
    Size.WIDTH: "width",
    Size.DISTANCE_TO_HV: "distance to HV",
}
DISTANCE = "Distance to the nearest high-voltage part (mm)"
UNCERTAINTY = "Uncertainty, ± mm"
COVERS_OFF = "Were shields and covers off when this was measured?"
CONDUCTOR_VISIBLE = "Is a high-voltage conductor or orange cable to be seen?"
HANGS_FREE = "Does a cut cable or part hang free?"
NOTE = "Note"
DETAILS = "Sizes, distances and note"
SAVE_FINDING = "Save this finding"
UNSAVED = "Entered, but not saved yet"
DISCARD = "Throw away what I entered"
CHOOSE = "Type or choose"
UNTAGGED = "not named yet"
MORE = "Same damage as another, or withdraw"
SAME_DAMAGE = "This mark shows the same damage as"
SAME_DAMAGE_QUICK = "Or the same damage as:"
SAME_DAMAGE_DO = "Join it to that finding"
FURTHER_VIEW = "Mark a further view of it"
FURTHER_VIEW_STOP = "Done with further views"
WITHDRAW_REASON = "Why this finding no longer counts"
WITHDRAW = "Withdraw this finding"
WITHDRAW_HINT = "It stays on record, and in the report, with your name and reason."
RESTORE = "Count it again"
WITHDRAWN = "Withdrawn findings"
CONFLICT = "Somebody else changed this finding while you were entering yours. Theirs is stored."
CONFLICT_THEIRS = "Stored now"
CONFLICT_YOURS = "What you entered"
KEEP_THEIRS = "Keep what is stored"
SAVE_MINE = "Save mine instead"
NO_MARK_LEFT = "No mark on any photo. Draw a further view, or withdraw it."
UNSEEN = "Add a damage that no photo shows"
UNSEEN_HINT = "Felt, heard, or seen in a mirror only. It becomes a finding without a mark."
UNSEEN_SAVE = "Put it on record"


def photo_of(number: int, total: int, name: str) -> str:
    return f"**Photo {number} of {total}** {name}"


def strip_label(number: int, marks: int, *, is_clear: bool = False) -> str:
    if is_clear and not marks:
        return f"{number} · nothing found"
    return f"{number}" + (f" · {counted(marks, 'mark', 'marks')}" if marks else " · to look at")


def still_to_look_at(numbers: Sequence[int]) -> str:
    if not numbers:
        return NOTHING_LEFT_TO_LOOK_AT
    listed = ", ".join(str(number) for number in numbers)
    return f"Without a mark or a word: {listed}"


def nothing_found_by(name: str) -> str:
    return f"Nothing found here, says {name}. That clears no part."


def strip_title(number: int, name: str, marks: int) -> str:
    return f"Photo {number}, {name}, {counted(marks, 'mark', 'marks')}"


def finding_title(number: int, component: str | None, damage: str | None) -> str:
    if component is None and damage is None:
        return f"{number} · {UNTAGGED}"
    return f"{number} · {component or 'part ' + NOT_SAID} · {damage or 'damage ' + NOT_SAID}"


def seen_on(photo_numbers: Sequence[int]) -> str:
    if not photo_numbers:
        return NO_MARK_LEFT
    listed = ", ".join(str(number) for number in photo_numbers)
    return f"Marked on photo {listed}" if len(photo_numbers) == 1 else f"Marked on photos {listed}"


def finding_saved(number: int) -> str:
    return f"Finding {number} is saved."


def finding_withdrawn(number: int) -> str:
    return f"Finding {number} is withdrawn."


def further_views_of(number: int) -> str:
    return f"New marks are further views of finding {number}, until you end it here."
