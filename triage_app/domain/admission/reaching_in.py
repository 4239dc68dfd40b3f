"""What nobody does on a car that is held outside: reach into it, before somebody has decided.

Barring the area off, blocking the wheels, taking the temperature and putting down what happened go
on, since they keep people away or make things stricter.
"""

from triage_app.domain.admission.status import admission_of
from triage_app.domain.case import Case
from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import Entered, PointReading, StepDone
from triage_app.domain.safing.steps import StepGroup


def why_not_yet(case: Case, what: Entered) -> str:
    """Return in one sentence why this may not be done on the car yet, or "" where it may."""
    if not _reaches_in(what) or not admission_of(case).is_held:
        return ""
    return (
        "The car is held outside, unlifted, and this would be reaching into it. At the gate every "
        "sign is answered by name, or a senior technician decides with a reason; then go on here."
    )


def _reaches_in(what: Entered) -> bool:
    if isinstance(what, StepDone):
        return what.step.group is not StepGroup.AREA
    return isinstance(what, PointReading | IsolationMeasurement)
