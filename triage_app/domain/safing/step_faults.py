"""What a step still lacks: each step asks for its own figures, names and instruments."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from triage_app.domain.safing.entries import SafingEntry, StepDone
from triage_app.domain.safing.limits import meter_fault, protection_fault
from triage_app.domain.safing.steps import Step
from triage_app.domain.signed import is_same_person

# Below this a "known source" does not show that the meter works. Judgement: a 12 V battery will do.
LEAST_PROOF_V = 10.0
# How far the second proof may be from the first, on the same source. Judgement.
PROOF_AGREES_FRAC = 0.10

# Steps that the maker's procedure may have otherwise; what was done instead is then named.
MAY_BE_OTHERWISE = frozenset({Step.DATA_SAVED, Step.DISCONNECT_OPEN, Step.TRY_START})
NAMES_NEEDED = {
    Step.AREA_BARRED: "the barrier and the signs",
    Step.SOURCES_IDENTIFIED: "every source of voltage, with the document that shows them",
    Step.LOCKED_AND_TAGGED: "the lock and the tag, and who holds the key",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """What was done before a step: the steps that count, and the voltage that the car counts as."""

    done: Mapping[Step, SafingEntry]
    voltage_v: float

    def of(self, step: Step) -> StepDone | None:
        entry = self.done.get(step)
        return entry.what if entry and isinstance(entry.what, StepDone) else None

    def at(self, step: Step) -> datetime | None:
        return self.done[step].done_at if step in self.done else None


def step_fault(entry: SafingEntry, done: StepDone, before: Before) -> str:
    """Return what keeps a step from counting, or "" when it is whole."""
    if done.instead and done.step not in MAY_BE_OTHERWISE:
        return "nothing may be done in its place"
    if done.instead and not done.reference:
        return "which document and page of the maker has it otherwise is not written down"
    if done.instead:
        return ""
    named = NAMES_NEEDED.get(done.step)
    if named and not done.reference:
        return f"{named} are not written down"
    check = _CHECKS.get(done.step)
    return check(entry, done, before) if check else ""


def _procedure(_entry: SafingEntry, done: StepDone, _before: Before) -> str:
    if done.procedure is None:
        return "the maker's document and its date are not written down"
    if done.procedure.discharge_min is None:
        return "the maker's discharge time is not written down; no other figure stands for it"
    return ""


def _temperature(_entry: SafingEntry, done: StepDone, _before: Before) -> str:
    if done.value is None or done.unit != "°C" or done.instrument is None or not done.reference:
        return "the temperature in °C, the place and the instrument are needed"
    return ""


def _protection(entry: SafingEntry, done: StepDone, before: Before) -> str:
    if done.protection is None:
        return "gloves, protection and the name of the reader are not written down"
    if is_same_person(done.protection.reader, entry.recorded.by):
        return (
            f"{done.protection.reader} cannot read and record at once; a second person is present "
            "and records"
        )
    on = entry.done_at.date()
    return protection_fault(done.protection, voltage_v=before.voltage_v, on=on)


def _waited(entry: SafingEntry, _done: StepDone, before: Before) -> str:
    procedure, opened = before.of(Step.MAKER_PROCEDURE), before.at(Step.DISCONNECT_OPEN)
    if procedure is None or procedure.procedure is None or opened is None:
        return "the maker's discharge time is not written down"
    wanted = timedelta(minutes=procedure.procedure.discharge_min or 0)
    waited = entry.done_at - opened
    if waited < wanted:
        left_s = (wanted - waited).total_seconds()
        return f"the maker's {wanted.total_seconds() / 60:g} min are not over, {left_s:.0f} s left"
    return ""


def _proof(entry: SafingEntry, done: StepDone, before: Before) -> str:
    if done.value is None or done.unit != "V" or done.instrument is None or not done.reference:
        return "the known source, the voltage that was read on it and the instrument are needed"
    if abs(done.value) < LEAST_PROOF_V:
        return f"{done.value:g} V on the known source does not show that the instrument works"
    on = entry.done_at.date()
    return meter_fault(done.instrument, voltage_v=before.voltage_v, on=on)


def _proof_again(entry: SafingEntry, done: StepDone, before: Before) -> str:
    fault = _proof(entry, done, before)
    first = before.of(Step.INSTRUMENT_PROVED)
    if fault or first is None or first.instrument is None or first.value is None:
        return fault or "the instrument was not proved before"
    if done.instrument is None or not done.instrument.is_same_as(first.instrument):
        return f"it is another instrument than the {first.instrument.name} that was read with"
    if abs((done.value or 0) - first.value) > PROOF_AGREES_FRAC * abs(first.value):
        return (
            f"it showed {first.value:g} V on the known source before and {done.value:g} V after; "
            "one of the two is wrong, so the readings in between say nothing"
        )
    return ""


_CHECKS: Mapping[Step, Callable[[SafingEntry, StepDone, Before], str]] = {
    Step.MAKER_PROCEDURE: _procedure,
    Step.FIRST_TEMPERATURE: _temperature,
    Step.PROTECTION: _protection,
    Step.DISCHARGE_WAITED: _waited,
    Step.INSTRUMENT_PROVED: _proof,
    Step.INSTRUMENT_PROVED_AGAIN: _proof_again,
}
