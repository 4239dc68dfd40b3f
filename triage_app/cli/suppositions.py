"""What ``assess --suppose`` takes: "finding 3: damage = severed, covers off = yes" and its kin."""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from rules import EvidenceKind, OpenTestId, Powertrain, Rulebook, Side, TestOutcome
from triage_app.cli.command import UsageError
from triage_app.cli.finders import finding_numbered, record_numbered
from triage_app.domain.case import Case, Finding, Measures, Tags
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import EvidenceEntry, Instruction, MakerCriterion
from triage_app.domain.ids import FindingId
from triage_app.domain.vehicle import Answer, Incident, Vehicle
from triage_app.domain.what_if import (
    SupposeAccepted,
    SupposeEvidence,
    SupposeFinding,
    SupposeIncident,
    SupposeVehicle,
    Supposition,
)

SUPPOSE_HELP: Final = (
    "answer as if this were so and save nothing; may be given again. 'finding N: NAME = VALUE, "
    "...' with component, damage, zone, side, length, width, depth, distance, uncertainty (mm), "
    "covers off, conductor visible, hangs free, test ID, part, maker says; 'car: NAME = VALUE, "
    "...' with voltage, drive, test ID or a sign such as smoke; 'record N: accepted'"
)
_SUBJECT = re.compile(r"\s*(finding|record)\s+(\d{1,9})\s*:(.*)|\s*(car)\s*:(.*)", re.DOTALL)
_SUPPOSED = "as supposed"
_YES_NO = {"yes": True, "no": False, "unknown": None}
_OUTCOMES = {each.value.removeprefix("criterion "): each for each in TestOutcome}

_Field = tuple[str, Callable[[str], Any]]  # Any: each field has a type of its own


def read_suppositions(
    texts: Sequence[str], case: Case, rulebook: Rulebook
) -> tuple[Supposition, ...]:
    """Return what the texts suppose of ``case``, several about one thing taken together.

    Raises UsageError for a text that is not of the form, InvalidInputError for a value that
    cannot be right, NotFoundError.
    """
    reader = _Reader(case, rulebook)
    for text in texts:
        try:
            reader.read(text)
        except InvalidInputError as error:
            raise InvalidInputError(f"--suppose '{text}': {error}") from error
        except UsageError as error:
            raise UsageError(f"--suppose '{text}': {error}") from error
    return reader.suppositions()


class _Reader:
    """Gathers what the texts say, so that two about one finding add up."""

    def __init__(self, case: Case, rulebook: Rulebook) -> None:
        self._case = case
        self._tags: dict[FindingId, Tags] = {}
        self._vehicle = case.vehicle
        self._incident = case.incident
        self._records: list[Supposition] = []
        self._tests = rulebook.open_tests
        self._of_tags: Mapping[str, _Field] = {
            "component": ("component", _word(rulebook.components, "component")),
            "damage": ("damage", _word(rulebook.damage_types, "damage type")),
            "zone": ("zone", _word(rulebook.zones, "zone")),
            "side": ("side", _one_of({each.value: each for each in Side} | {"unknown": None})),
            "conductor visible": ("hv_conductor_visible", _one_of(_YES_NO)),
            "hangs free": ("hangs_free", _one_of(_YES_NO)),
        }

    def suppositions(self) -> tuple[Supposition, ...]:
        found: list[Supposition] = [
            SupposeFinding(finding_id=finding_id, tags=tags)
            for finding_id, tags in self._tags.items()
        ]
        if self._vehicle != self._case.vehicle:
            found.append(SupposeVehicle(vehicle=self._vehicle))
        if self._incident != self._case.incident:
            found.append(SupposeIncident(incident=self._incident))
        return (*found, *self._records)

    def read(self, text: str) -> None:
        match = _SUBJECT.fullmatch(text)
        if match is None:
            raise UsageError("say 'finding N: ...', 'car: ...' or 'record N: accepted'.")
        subject, number, of_one, _, of_car = match.groups()
        if subject == "record":
            if of_one.strip() != "accepted":
                raise UsageError("of a record only 'accepted' can be supposed.")
            record = record_numbered(self._case, int(number))
            self._records.append(SupposeAccepted(record_id=record.id))
            return
        finding = finding_numbered(self._case, int(number)) if number else None
        for name, value in _pairs(of_one if finding else of_car):
            if finding is not None:
                self._read_of_finding(finding, name, value)
            else:
                self._read_of_car(name, value)

    def _read_of_finding(self, finding: Finding, name: str, value: str) -> None:
        entry = self._entry(name, value) or _entry_of_part(name, value)
        if entry is not None:
            self._records.append(SupposeEvidence(finding_id=finding.id, entry=entry))
            return
        tags = self._tags.get(finding.id, finding.tags)
        if name in self._of_tags:
            field, reader = self._of_tags[name]
            tags = replace(tags, **{field: reader(value)})
        elif name in _OF_MEASURES:
            field, reader = _OF_MEASURES[name]
            tags = replace(tags, measures=_changed(tags.measures, field, reader(value)))
        else:
            names = (*self._of_tags, *_OF_MEASURES, "test ID", "part", "maker says")
            raise UsageError(f"a finding has no '{name}'; it has {', '.join(names)}.")
        self._tags[finding.id] = tags

    def _read_of_car(self, name: str, value: str) -> None:
        entry = self._entry(name, value)
        if entry is not None:
            self._records.append(SupposeEvidence(finding_id=None, entry=entry))
        elif name in _OF_VEHICLE:
            field, reader = _OF_VEHICLE[name]
            self._vehicle = _with(self._vehicle, field, reader(value))
        elif name in self._incident.signs:
            answers = {each.value: each for each in Answer}
            self._incident = _sign(self._incident, name, _one_of(answers)(value))
        else:
            names = (*_OF_VEHICLE, *self._incident.signs, "test ID")
            raise UsageError(f"the car has no '{name}'; it has {', '.join(names)}.")

    def _entry(self, name: str, value: str) -> EvidenceEntry | None:
        if not name.startswith("test "):
            return None
        test = _word(self._tests, "test")(name.removeprefix("test "))
        if test is None:
            raise InvalidInputError("Name the test.")
        return EvidenceEntry(
            kind=EvidenceKind.TEST_RESULT,
            test=OpenTestId(test),
            outcome=_one_of(_OUTCOMES | {each.value: each for each in TestOutcome})(value),
            criterion=MakerCriterion(text=_SUPPOSED, document=_SUPPOSED, document_date=_SUPPOSED),
        )


def _entry_of_part(name: str, value: str) -> EvidenceEntry | None:
    if name == "part":
        _one_of({"replaced": True})(value)
        return EvidenceEntry(kind=EvidenceKind.PART_REPLACED)
    if name == "maker says":
        return EvidenceEntry(
            kind=EvidenceKind.MAKER_INSTRUCTION,
            instruction=_one_of({each.value: each for each in Instruction})(value),
            criterion=MakerCriterion(text=_SUPPOSED, document=_SUPPOSED, document_date=_SUPPOSED),
        )
    return None


def _pairs(text: str) -> list[tuple[str, str]]:
    pairs = []
    for part in text.split(","):
        name, equals, value = part.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise UsageError("write NAME = VALUE, several with a comma between them.")
        pairs.append((" ".join(name.lower().replace("_", " ").split()), value.strip()))
    return [(_spelt(name), value) for name, value in pairs]


def _spelt(name: str) -> str:
    """Return a name as the tables here spell it; ids of tests keep their underscores."""
    return "test " + name[5:].replace(" ", "_") if name.startswith("test ") else name


def _word(known: Mapping[Any, object], what: str) -> Callable[[str], Any]:
    def read(text: str) -> Any:  # Any: the id type of the mapping
        plain = "_".join(text.lower().split())
        if plain == "unknown":
            return None
        for word, entry in known.items():
            label = str(getattr(entry, "label", word)).lower()
            if plain == word or text.lower() == label:
                return word
        raise InvalidInputError(
            f"The rule book has no {what} '{text}'. See the list with: underbody check-rules --list"
        )

    return read


def _one_of(known: Mapping[str, Any]) -> Callable[[str], Any]:
    def read(text: str) -> Any:  # Any: the value type of the mapping
        plain = " ".join(text.lower().split())
        if plain not in known:
            raise InvalidInputError(f"'{text}' should be one of: {', '.join(known)}.")
        return known[plain]

    return read


def _number(unit: str) -> Callable[[str], float | None]:
    def read(text: str) -> float | None:
        plain = text.lower().removesuffix(unit.lower()).strip()
        if plain == "unknown":
            return None
        try:
            number = float(plain)
        except ValueError as error:
            raise InvalidInputError(f"'{text}' is not a number of {unit}.") from error
        if not math.isfinite(number):
            raise InvalidInputError(f"'{text}' is not a number of {unit}.")
        return number

    return read


_OF_MEASURES: Mapping[str, _Field] = {
    "length": ("length_mm", _number("mm")),
    "width": ("width_mm", _number("mm")),
    "depth": ("depth_mm", _number("mm")),
    "distance": ("distance_to_hv_mm", _number("mm")),
    "uncertainty": ("distance_uncertainty_mm", _number("mm")),
    "covers off": ("covers_off", _one_of(_YES_NO)),
}
_OF_VEHICLE: Mapping[str, _Field] = {
    "voltage": ("system_voltage_v", _number("V")),
    "drive": ("powertrain", _one_of({each.value.lower(): each for each in Powertrain})),
}


def _changed(measures: Measures, field: str, value: object) -> Measures:
    return replace(measures, **{field: value})  # type: ignore[arg-type]  # by its own reader


def _with(vehicle: Vehicle, field: str, value: object) -> Vehicle:
    return replace(vehicle, **{field: value})  # type: ignore[arg-type]  # by its own reader


def _sign(incident: Incident, name: str, answer: Answer) -> Incident:
    return replace(incident, **{name: answer})  # type: ignore[arg-type]  # a sign of its own
