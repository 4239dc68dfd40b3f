"""Every JSON document that the command line prints, with the schema that is published for it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from enum import IntEnum
from typing import Any, ClassVar, Literal

from pydantic import ConfigDict, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from rules import (
    CaseAssessment,
    Component,
    Consequence,
    DamageType,
    Disposition,
    HvFlag,
    Quarantine,
    Risk,
    RulebookStamp,
    SignalWord,
    TransportClass,
    Zone,
)
from triage_app.casefile.answers import plain_fields
from triage_app.casefile.case_toml import CaseToml
from triage_app.casefile.cases import CaseFile, case_to_plain
from triage_app.casefile.journals import JournalFile
from triage_app.cli.inspection import Inspected
from triage_app.domain.case import Case
from triage_app.domain.evidence import EvidenceRecord
from triage_app.domain.evidence_standing import Standing
from triage_app.domain.ids import Sha256
from triage_app.domain.safing.entries import Keeping, PointReading, SafingEntry, WatchSign
from triage_app.domain.safing.islands import IslandIsolation
from triage_app.domain.safing.points import TestPoint
from triage_app.domain.safing.state import BATTERY_REMAINS, Missing, SafingState, SafingStatus
from triage_app.domain.safing.voids import VoidCause
from triage_app.domain.safing.watch import PlaceTrend, Watch
from triage_app.domain.what_changed import Changes
from triage_app.report.findings_list import FindingRow
from triage_app.services.ports import CaseSummary

_LEVELS: tuple[type[IntEnum], ...] = (
    Consequence,
    Disposition,
    HvFlag,
    Quarantine,
    Risk,
    SignalWord,
    TransportClass,
)
_STRICT = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class AssessmentDocument(CaseAssessment):
    """What the rules say of a case: ``assess``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseListDocument:
    """The cases found, newest change first, and how many there are: ``list --json``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    total: int
    cases: tuple[CaseSummary, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReadingsDocument:
    """What was read of each photo file: ``inspect``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    photos: tuple[Inspected, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RulebookDocument:
    """The words of the rule book and its faults: ``check-rules --json``.

    ``hv_flags_of_demo`` counts the findings of the demo case by flag, from their tags alone.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    stamp: RulebookStamp
    faults: tuple[str, ...]
    hv_flags_of_demo: Mapping[str, int]
    components: tuple[Component, ...]
    damage_types: tuple[DamageType, ...]
    zones: tuple[Zone, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalCheckDocument:
    """Whether a journal is whole: ``journal --verify --json``. ``fault`` is empty when it is.

    ``first_bad_entry`` is null where every entry is whole and the fault lies elsewhere: in the
    case, or in a head that the chain does not hold.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    whole: bool
    fault: str
    first_bad_entry: int | None
    count: int
    head: str
    entries_after_given_head: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TidyDocument:
    """Stored files that no case needs: ``tidy --json``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    deleted: bool
    files: tuple[Sha256, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingRecord:
    """A record of evidence and what it is worth now.

    ``changed_findings`` are the numbers of findings that changed since; of these it says nothing.
    """

    record: EvidenceRecord
    standing: Standing
    changed_findings: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceDocument:
    """The records of evidence of a case, in order of number: ``evidence --json``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    records: tuple[StandingRecord, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfDocument:
    """What the rules would say if all of ``supposed`` were so: ``assess --suppose --json``.

    ``changes`` has the case first (``finding_id`` null), then each finding that changes.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    supposed: tuple[str, ...]
    before: CaseAssessment
    after: CaseAssessment
    changes: tuple[Changes, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsDocument:
    """The findings that count, worst first, in the words of the report: ``findings --json``."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    reference: str
    revision: int
    findings: tuple[FindingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VoidDocument:
    """Why a make-safe record is void, and what has to be done now."""

    cause: VoidCause
    detail: str
    at: datetime | None
    do_now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PointDocument:
    """A test point with its two readings; null is not read."""

    point: TestPoint
    first: PointReading | None
    second: PointReading | None


@dataclass(frozen=True, slots=True, kw_only=True)
class IslandDocument:
    """An island and where its outstanding test of isolation stands, in words."""

    island: str
    points: tuple[str, ...]
    is_outstanding: bool
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeSafeDocument:
    """Where a make-safe record stands: ``make-safe --json``. The state is never told alone.

    ``next_temperature_due`` null is now.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    format: Literal[1] = 1
    state: SafingState
    covered: tuple[str, ...]
    not_covered: tuple[str, ...]
    battery: str = BATTERY_REMAINS
    stands_since: datetime | None
    reader: str
    recorders: tuple[str, ...]
    limit_dc_v: float
    limit_ac_v: float
    missing: tuple[Missing, ...]
    voids: tuple[VoidDocument, ...]
    remarks: tuple[str, ...]
    points: tuple[PointDocument, ...]
    isolation: tuple[IslandDocument, ...]
    temperatures: tuple[PlaceTrend, ...]
    signs: tuple[tuple[WatchSign, datetime], ...]
    kept: Keeping
    next_temperature_due: datetime | None

    @classmethod
    def of(
        cls, status: SafingStatus, isolation: tuple[IslandIsolation, ...], watch: Watch
    ) -> "MakeSafeDocument":
        return cls(
            state=status.state,
            covered=status.covered,
            not_covered=status.not_covered,
            stands_since=status.stands_since,
            reader=status.reader,
            recorders=status.recorders,
            limit_dc_v=status.limit_dc_v,
            limit_ac_v=status.limit_ac_v,
            missing=status.missing,
            voids=tuple(
                VoidDocument(
                    cause=void.cause, detail=void.detail, at=void.at, do_now=void.cause.do_now
                )
                for void in status.voids
            ),
            remarks=status.remarks,
            points=tuple(
                PointDocument(
                    point=read.point, first=_reading(read.first), second=_reading(read.second)
                )
                for read in status.points
            ),
            isolation=tuple(
                IslandDocument(
                    island=one.island,
                    points=one.points,
                    is_outstanding=one.is_outstanding,
                    said=one.said,
                )
                for one in isolation
            ),
            temperatures=watch.places,
            signs=watch.signs,
            kept=watch.kept,
            next_temperature_due=watch.next_due,
        )


def _reading(entry: SafingEntry | None) -> PointReading | None:
    return entry.what if entry is not None and isinstance(entry.what, PointReading) else None


# Name of the published schema -> what it describes.
DOCUMENTS: dict[str, type] = {
    "case": CaseFile,
    "assessment": AssessmentDocument,
    "what-if": WhatIfDocument,
    "evidence": EvidenceDocument,
    "make-safe": MakeSafeDocument,
    "journal": JournalFile,
    "journal-check": JournalCheckDocument,
    "findings": FindingsDocument,
    "case-list": CaseListDocument,
    "photo-readings": PhotoReadingsDocument,
    "rulebook": RulebookDocument,
    "tidy": TidyDocument,
    "case-toml": CaseToml,
}


def schema_of(name: str) -> dict[str, Any]:  # Any: a JSON Schema is free-form
    """Return the JSON Schema (2020-12) of one document."""
    kind = DOCUMENTS[name]
    mode: Literal["validation", "serialization"] = (
        "validation" if name == "case-toml" else "serialization"
    )
    schema = _with_named_levels(TypeAdapter(kind).json_schema(mode=mode))
    return {"$schema": GenerateJsonSchema.schema_dialect, **schema}


def show(document: object) -> None:
    """Print a document as JSON."""
    held = case_to_plain(document) if isinstance(document, Case) else plain_fields(document)
    print(json.dumps(held, indent=2, ensure_ascii=False, allow_nan=False))


def assessment_document(assessment: CaseAssessment) -> AssessmentDocument:
    held = {each.name: getattr(assessment, each.name) for each in fields(assessment)}
    return AssessmentDocument(**held)


def _with_named_levels(schema: dict[str, Any]) -> dict[str, Any]:  # Any: as above
    """Say that levels go by name, as ``plain_fields`` writes them."""
    for level in _LEVELS:
        if level.__name__ in schema.get("$defs", {}):
            names = [member.name.lower() for member in level]
            schema["$defs"][level.__name__] |= {"type": "string", "enum": names}
    return schema
