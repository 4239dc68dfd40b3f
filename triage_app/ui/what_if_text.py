"""Every sentence of the what-if panel."""

from collections.abc import Sequence
from enum import StrEnum

from triage_app.domain.what_changed import LevelName, ListName

OPEN = "What if …?"
TITLE = "What if? Nothing is saved"
MEANS = (
    "Change one fact and compare. This is a thought: nothing here goes on record, into the report "
    "or into any count, and it clears nothing."
)
SUPPOSE = "Suppose that this were different"
RESET = "Back to what is stored"
SAME = "Nothing would change."
NOT_ENTERED = "Enter something else to compare."
AS_IT_IS = "As it is"
IF_SO = "If it were so"
WHAT = "Answer"
WORSE = "▲ worse"
MILDER = "▼ milder"
DIFFERENT = "changed"
NONE = "–"  # noqa: RUF001 - an empty cell
WHY = "What changes, and why"
CASE = "The whole case"
NEEDS_THREE = (
    "A distance counts only when it was measured with its uncertainty and with the covers off."
)
CRITERION = "The maker's criterion is at hand and on record"
TEST = "Test"
OUTCOME = "Its result"
VOLTAGE = "Highest system voltage (V DC)"


class Fact(StrEnum):
    """What can be supposed; the value is what the choice says."""

    DAMAGE = "the kind of damage"
    COMPONENT = "the part"
    ZONE = "the zone"
    DISTANCE = "the distance to high voltage"
    SIZE = "the size of the damage"
    CONDUCTOR = "whether a conductor is to be seen"
    HANGS = "whether a cut end hangs free"
    TEST = "the result of a test"
    REPLACED = "the part was replaced"
    CAR = "the voltage and kind of drive"


LEVELS = {
    LevelName.RISK: "Hazard now",
    LevelName.HV_FLAG: "High voltage",
    LevelName.SIGNAL_WORD: "Signal word",
    LevelName.CONSEQUENCE: "Consequence",
    LevelName.LIKELIHOOD: "Likelihood",
    LevelName.DISPOSITION: "Repair needed",
    LevelName.QUARANTINE: "Quarantine",
    LevelName.TRANSPORT_CLASS: "Carriage of the battery",
    LevelName.RESIDUAL_RISK: "What remains after accepted records",
    LevelName.RESIDUAL_LIKELIHOOD: "Likelihood that remains",
    LevelName.RESIDUAL_DISPOSITION: "Repair that remains",
}
ADDED = {
    ListName.STOP_CONDITIONS: "New stop conditions",
    ListName.HV_REASONS: "New reasons for the HV flag",
    ListName.ACTIONS: "Also to be done",
    ListName.OPEN_TESTS: "Also outstanding",
    ListName.RULES: "Rules that then fire",
    ListName.RESIDUAL_RULES: "Rules of evidence that then count",
    ListName.RESIDUAL_TESTS: "Still outstanding after the records",
    ListName.RECORDS: "Records that then count",
}
DROPPED = {
    ListName.STOP_CONDITIONS: "Stop conditions that fall away",
    ListName.HV_REASONS: "Reasons for the HV flag that fall away",
    ListName.ACTIONS: "No longer asked for",
    ListName.OPEN_TESTS: "No longer outstanding",
    ListName.RULES: "Rules that no longer fire",
    ListName.RESIDUAL_RULES: "Rules of evidence that no longer count",
    ListName.RESIDUAL_TESTS: "Tests closed by the record",
    ListName.RECORDS: "Records that no longer count",
}


def others(names: Sequence[str]) -> str:
    """Name what else would change because of it."""
    return f"It would also change: {'; '.join(names)}."
