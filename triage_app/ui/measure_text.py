"""Every sentence of measuring on photos."""

from datetime import datetime

from triage_app.domain.measuring import MeasuredMm, MeasuredMm2
from triage_app.domain.safing.state import SafingStatus
from triage_app.domain.scale import DESIGN_SIDE_MM, CardKind

MEASURE = "Measure on this photo"
NO_MARK_HERE = "This finding has no mark on this photo; go to a photo where it has one."
ALL_95 = "Each with its 95 % interval, in the plane of the card."
RESTS_ON = "Rests on"
BEHIND = "The damage lies behind the card's plane by at most (mm; 0: same surface)"
HV_WITHIN = "For the way to HV: damage and HV part both lie within this depth of the plane (mm)"
HV_HINT = (
    "Left empty, the distance is not known and counts as near. Measured is the way to the nearest "
    "area that looks like orange cable; say only what you saw with covers off. The near end counts."
)
NO_ORANGE = "Nothing on this photo looks like orange cable (black and white never does)."
USE_SIZES = "Use length and width"
USE_DISTANCE = "Use this distance"
REPLACE = "Replace what was typed"
SAY_DEPTH = "Say how far the damage lies behind the card's plane; then the sizes can be used."
SAVE_FIRST = "Save or discard the entries above first."
USED = "The measured sizes are on record with their photo and interval."
CHANGED = (
    "The outline was changed since it was measured, so the size counts as unknown. Use it anew."
)
CARD_SAFETY = (
    "The card is not conductive and is laid only after the make-safe record stands. The vehicle "
    "maker's procedure comes first."
)
NO_RECORD = (
    "No make-safe record stands: treat every HV part as live and do not reach in to lay a card."
)
BEFORE_RECORD = "This photo was taken before the make-safe record stood: HV parts counted as live."
TIME_UNKNOWN = (
    "Nobody can tell whether this photo was taken before the make-safe record stood: its camera's "
    "clock was not compared, or it carries no time."
)
CARDS = "Printed scale cards"
CARDS_HINT = (
    "Print at 100 %, measure one black square of each kind from edge to edge, type it in once. "
    + CARD_SAFETY
)
SAVE_SIDE = "Save what the prints measure"
SIDE_SAVED = "The measured squares are on record for this shop."


def against_record(taken_at: datetime | None, record: SafingStatus) -> str:
    """Return what to say of a photo's real time beside the make-safe record; "" if it is later.

    A void record keeps the time since which it stood, yet no longer stands.
    """
    if record.counts_since is None:
        return NO_RECORD
    if taken_at is None:
        return TIME_UNKNOWN
    return BEFORE_RECORD if taken_at < record.counts_since else ""


def side_label(kind: CardKind) -> str:
    return f"Black square of the {kind} card (about {DESIGN_SIDE_MM[kind]:g} mm)"


def print_label(paper: str) -> str:
    return f"Print cards ({paper})"


def length(name: str, way: MeasuredMm) -> str:
    return f"{name}: **{way.value_mm:.0f} mm** ({way.low_mm:.0f} to {way.high_mm:.0f} mm)"


def area(way: MeasuredMm2) -> str:
    return (
        f"Area: **{way.value_mm2 / 100:.0f} cm²** "
        f"({way.low_mm2 / 100:.0f} to {way.high_mm2 / 100:.0f} cm²)"
    )
