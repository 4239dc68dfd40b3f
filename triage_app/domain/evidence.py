"""What was found out after the first look, on record: a test, a part replaced, the maker's word.

A record is bound to what its author had seen: the findings and their revisions. It is never
edited; another named person accepts or declines it, a retest takes its place, and all of them stay.
What a record is worth at the moment is told by ``domain.evidence_standing``.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import isfinite

from rules import Disposition, EvidenceKind, OpenTestId, Powertrain, TestOutcome
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Vehicle, checked_text

MAX_MEASURED = 1e12


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """What a value was measured with. ``calibration_due`` None is not known."""

    name: str
    serial: str = ""
    calibration_due: date | None = None

    def __post_init__(self) -> None:
        _check_texts(self, name="The instrument", serial="The serial number")
        if not self.name:
            raise InvalidInputError("Name the instrument that has this serial or calibration date.")


@dataclass(frozen=True, slots=True, kw_only=True)
class MakerCriterion:
    """What the vehicle maker asks for, and the document that says so. All three are needed.

    ``document_date`` is its date or edition as printed; "undated" where it has none.
    """

    text: str
    document: str
    document_date: str

    def __post_init__(self) -> None:
        _check_texts(
            self,
            text="The maker's criterion",
            document="The maker's document",
            document_date="The date of the maker's document",
        )
        if not (self.text and self.document and self.document_date):
            raise InvalidInputError(
                "Give the maker's criterion whole: what it asks for, the document and its date, or "
                "leave all three empty."
            )


class Instruction(StrEnum):
    """What the vehicle maker says that a part needs: the dispositions, by their names."""

    MONITOR = "monitor"
    CLEAN_AND_PROTECT = "clean and protect"
    REPAIR = "repair"
    TEST_FIRST = "test first"
    REPLACE = "replace"

    @property
    def disposition(self) -> Disposition:
        return Disposition[self.name]


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceEntry:
    """What a person writes down. Raises InvalidInputError where the parts do not go together.

    A test result names ``test`` and ``outcome``; a maker's instruction says what the part needs
    and cites the maker's document as ``criterion``; a part replaced needs neither. ``value`` has a
    ``unit``. Without ``criterion`` a test that is met counts as inconclusive.
    """

    kind: EvidenceKind
    test: OpenTestId | None = None
    outcome: TestOutcome | None = None
    value: float | None = None
    unit: str = ""
    instrument: Instrument | None = None
    criterion: MakerCriterion | None = None
    instruction: Instruction | None = None
    note: str = ""

    def __post_init__(self) -> None:
        _check_texts(self, unit="The unit", note="The note")
        is_test = self.kind is EvidenceKind.TEST_RESULT
        if is_test and (self.test is None or self.outcome is None):
            raise InvalidInputError("Say which test it was and how it came out.")
        if not is_test and (
            self.test or self.outcome or self.value is not None or self.unit or self.instrument
        ):
            raise InvalidInputError(
                "Only a test result has a test, an outcome, a value and an instrument."
            )
        self._check_instruction()
        self._check_value()

    def _check_instruction(self) -> None:
        if self.kind is not EvidenceKind.MAKER_INSTRUCTION:
            if self.instruction is not None:
                raise InvalidInputError("Only an instruction of the maker says what a part needs.")
        elif self.instruction is None or self.criterion is None:
            raise InvalidInputError(
                "Say what the maker's instruction asks for, in which document, of which date."
            )

    def _check_value(self) -> None:
        if self.value is None:
            if self.unit:
                raise InvalidInputError(f"Give the value in {self.unit}, or leave the unit out.")
            return
        if not isfinite(self.value) or abs(self.value) > MAX_MEASURED:
            raise InvalidInputError("The measured value must be a number that can be measured.")
        if not self.unit:
            raise InvalidInputError(f"Give the unit of the value {self.value:g}.")

    @property
    def is_favourable(self) -> bool:
        """True when it could lower what remains; an instruction and a bad result only raise."""
        return self.kind is not EvidenceKind.MAKER_INSTRUCTION and (
            self.outcome in (None, TestOutcome.MET)
        )

    def instrument_fault(self, measured_on: date) -> str:
        """Return why a measured value cannot stand for a criterion met, or "" where it can."""
        if self.value is None or self.outcome is not TestOutcome.MET:
            return ""
        if self.instrument is None:
            return "no instrument is named"
        due = self.instrument.calibration_due
        if due is None:
            return f"nobody wrote down until when the {self.instrument.name} is calibrated"
        if due < measured_on:
            return f"the calibration of the {self.instrument.name} had run out on {due}"
        return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenFinding:
    """A finding as the author of a record had it before them."""

    finding_id: FindingId
    revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenCar:
    """What the author of a record knew of the car that a maker's criterion depends on.

    An older record that does not tell was made with nothing known of the car.
    """

    powertrain: Powertrain = Powertrain.UNKNOWN
    system_voltage_v: float | None = None

    @classmethod
    def of(cls, vehicle: Vehicle) -> "SeenCar":
        return cls(powertrain=vehicle.powertrain, system_voltage_v=vehicle.system_voltage_v)


class Verdict(StrEnum):
    """What a named person did with a record of evidence."""

    ACCEPTED = "accepted"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One verdict, by whom and when. All but an acceptance give a reason."""

    verdict: Verdict
    reason: str = ""
    signed: Signed

    def __post_init__(self) -> None:
        _check_texts(self, reason="The reason")
        if not self.reason and self.verdict is not Verdict.ACCEPTED:
            raise InvalidInputError(f"Say why the record is {self.verdict}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRecord:
    """An entry on record. ``number`` is never used again.

    ``finding_id`` None is about the whole car. ``seen`` holds the finding at the revision the
    author saw, or for the whole car every open finding; ``seen_car`` is what was known of the car.
    ``replaces`` is the record that this retest takes the place of. ``decisions`` are in order of
    time.
    """

    id: EvidenceId
    number: int
    finding_id: FindingId | None
    seen: tuple[SeenFinding, ...]
    entry: EvidenceEntry
    replaces: EvidenceId | None = None
    seen_car: SeenCar = SeenCar()
    recorded: Signed
    decisions: tuple[Decision, ...] = ()

    def decided(self, verdict: Verdict) -> Decision | None:
        """Return who gave this verdict and when, or None if nobody did."""
        return next((one for one in self.decisions if one.verdict is verdict), None)

    @property
    def is_accepted(self) -> bool:
        """True when another person accepted it and nobody withdrew it since."""
        return bool(self.decided(Verdict.ACCEPTED)) and not self.decided(Verdict.WITHDRAWN)

    @property
    def is_waiting(self) -> bool:
        """True while nobody has decided on it."""
        return not self.decisions

    def repeats(self, other: "EvidenceRecord") -> bool:
        """Tell whether it is of the same test of the same finding, or of the whole car."""
        return (self.finding_id, self.entry.kind, self.entry.test) == (
            other.finding_id,
            other.entry.kind,
            other.entry.test,
        )


def _check_texts(held: object, **whats: str) -> None:
    for name, what in whats.items():
        object.__setattr__(held, name, checked_text(getattr(held, name), what))
