"""Every sentence about the outcome of the whole case."""

from collections.abc import Sequence

OVERALL = "Overall hazard now"
REMAINS = "What remains, by the accepted records"
FAILED_ON_CAR = (
    "Criterion not met on the car as a whole; where, is not known, so it counts as the worst:"
)
STOP = "Stop conditions"
QUARANTINE = "Where the car stands"
TRANSPORT = "How the battery may travel"
WHY = "Why, and from which source"
PACKING = "Packing instructions"
SOURCES = "What the advice rests on"
UN_NUMBERS = "Dangerous-goods numbers"


def because_of_findings(numbers: Sequence[int]) -> str:
    listed = ", ".join(str(number) for number in numbers)
    return f"set by {'finding' if len(numbers) == 1 else 'findings'} {listed}"


def because_of_signs(reasons: Sequence[str]) -> str:
    return f"set by the signs on the car: {' '.join(reasons)}"
