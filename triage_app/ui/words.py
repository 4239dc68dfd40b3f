"""Words for values: what the screens call each risk word, flag, answer and choice."""

from rules import Consequence, Disposition, HvFlag, Likelihood, Risk, Side, SignalWord
from triage_app.domain.vehicle import Answer
from triage_app.services.intake import PhotoAnswer

NOT_ASSESSED = "Not assessed"
NOT_SAID = "not said"
HV_FLAGS = {
    HvFlag.AT_HV: "At high voltage",
    HvFlag.WITHIN_REACH: "Within reach of high voltage",
    HvFlag.NONE: "No high-voltage flag by the rules",
}
SIGNAL_WORDS = {word: word.name for word in SignalWord}
DISPOSITIONS = {
    Disposition.REPLACE: "Replace the part",
    Disposition.TEST_FIRST: "Test first, then decide",
    Disposition.REPAIR: "Repair the part",
    Disposition.CLEAN_AND_PROTECT: "Clean and protect",
    Disposition.MONITOR: "Note it and look again",
}
RISK_SQUARES = {
    Risk.HIGH: "■■■■",
    Risk.SERIOUS: "■■■□",
    Risk.MEDIUM: "■■□□",
    Risk.LOW: "■□□□",
    Risk.ELIMINATED: "□□□□",
}
CONSEQUENCES = {
    Consequence.CATASTROPHIC: "Catastrophic",
    Consequence.CRITICAL: "Critical",
    Consequence.MARGINAL: "Marginal",
    Consequence.NEGLIGIBLE: "Negligible",
}
LIKELIHOODS = {
    Likelihood.A: "Frequent",
    Likelihood.B: "Probable",
    Likelihood.C: "Occasional",
    Likelihood.D: "Remote",
    Likelihood.E: "Improbable",
    Likelihood.F: "Eliminated",
}
NO_SIDE = "unknown"
SIDE_WORDS = {
    NO_SIDE: "Not known",
    Side.LEFT.value: "Left",
    Side.CENTRE.value: "Centre",
    Side.RIGHT.value: "Right",
}
ANSWERS = {Answer.UNKNOWN: "Not known", Answer.NO: "No", Answer.YES: "Yes"}
FACTS = {
    "component": "which part",
    "damage": "what kind of damage",
    "zone": "the zone",
    "side": "the side",
    "length_mm": "the length",
    "width_mm": "the width",
    "depth_mm": "the depth",
    "distance_to_hv_mm": "the distance to high voltage",
    "distance_uncertainty_mm": "the uncertainty of that distance",
    "covers_off": "whether covers were off",
    "hv_conductor_visible": "whether a conductor shows",
    "hangs_free": "whether it hangs free",
    "system_voltage_v": "the system voltage",
}
PHOTO_ANSWERS = {
    PhotoAnswer.ACCEPTED: "Accepted",
    PhotoAnswer.DUPLICATE: "Already in this case",
    PhotoAnswer.REFUSED: "Refused",
}


def counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
