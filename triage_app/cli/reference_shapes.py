"""Pages made from data types: the settings, the JSON documents, the fields of a case file."""

from dataclasses import fields
from enum import Enum
from typing import get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from triage_app.casefile import case_toml, make_safe_toml
from triage_app.cli.documents import DOCUMENTS
from triage_app.cli.markdown import code, table
from triage_app.settings import Settings

_SETTINGS_INTRO = """# Settings

This page is generated; write it anew with `make docs`.

Settings come from the environment.
The options `--by`, `--cases` and `--files` of the command line go before them.
"""
_DOCUMENTS_INTRO = """# JSON documents

This page is generated; write it anew with `make docs`.

Each document carries `format`, a number that rises when its meaning changes.
Levels go by name, never by number: the worst consequence is 1 and the worst risk is 4.
Times are ISO 8601 in UTC, except `taken_at`, the camera's own clock without a zone.
`null` is *not known* and never zero.
"""
_PRINTED_BY = {
    "case": "`show --json`, `new --json`, `mark --json`, `run --json`; read by `assess CASE.json`",
    "assessment": "`assess`",
    "what-if": "`assess --suppose --json`",
    "evidence": "`evidence --json`",
    "make-safe": "`make-safe --json`, and `--json` of every command that adds to the record",
    "journal": "`journal --json`",
    "journal-check": "`journal --verify --json`",
    "findings": "`findings --json`",
    "case-list": "`list --json`",
    "photo-readings": "`inspect`",
    "rulebook": "`check-rules --json`",
    "tidy": "`tidy --json`",
    "case-toml": "the case file of `run`, as TOML; for editors that check TOML by a schema",
}
_TABLES = (
    ("the top of the file", case_toml.CaseToml),
    ("`[case]`", case_toml.CaseTable),
    ("`[vehicle]`", case_toml.VehicleTable),
    ("`[incident]`", case_toml.IncidentTable),
    ("`[[photo]]`", case_toml.PhotoTable),
    ("`[[finding]]`", case_toml.FindingTable),
    ("`[[finding.mark]]`", case_toml.MarkTable),
    ("`[[finding.evidence]]` and `[[evidence]]`", case_toml.EvidenceTable),
    ("`ellipse`", case_toml.EllipseTable),
    ("`[admission_decision]`", case_toml.AdmissionDecisionTable),
    ("`[[inspection]]`", case_toml.InspectionTable),
    ("`[[expected_photo]]`", case_toml.ExpectedPhotoTable),
    ("`[[make_safe]]`", make_safe_toml.MakeSafeTable),
    ("`instrument`", make_safe_toml.InstrumentTable),
    ("`procedure`", make_safe_toml.ProcedureTable),
    ("`gloves`", make_safe_toml.GlovesTable),
    ("`layout`", make_safe_toml.LayoutTable),
    ("`isolation`", make_safe_toml.IsolationTable),
)


def settings_page() -> str:
    """Return the page of all settings."""
    rows = (
        (
            code(setting.metadata["env"]),
            code(_shown_default(setting.default)) or "(empty)",
            setting.metadata["about"],
        )
        for setting in fields(Settings)
    )
    return f"{_SETTINGS_INTRO}\n{table(('variable', 'default', 'what it is'), rows)}"


def documents_page() -> str:
    """Return the page that lists every JSON document, its schema and where it comes from."""
    rows = ((f"[{name}](schemas/{name}.schema.json)", _PRINTED_BY[name]) for name in DOCUMENTS)
    return f"{_DOCUMENTS_INTRO}\n{table(('document', 'where'), rows)}"


def case_file_fields() -> str:
    """Return a table of fields for each table of a case file."""
    parts = []
    for title, model in _TABLES:
        parts.append(f"### {title[:1].upper()}{title[1:]}\n\n{_sentence(model)}\n")
        rows = (
            (
                code(name),
                "yes" if each.is_required() else "",
                f"{_plain(each.description or '')} {_choices(each)}",
            )
            for name, each in model.model_fields.items()
        )
        parts.append(table(("field", "needed", "what it is"), rows))
    return "\n".join(parts)


def _sentence(model: type[BaseModel]) -> str:
    return _plain(model.__doc__ or "")


def _plain(text: str) -> str:
    return " ".join(text.split()).replace("``", "`")


def _choices(field: FieldInfo) -> str:
    kinds = [field.annotation, *get_args(field.annotation)]
    for kind in kinds:
        if isinstance(kind, type) and issubclass(kind, Enum):
            return "One of: " + ", ".join(code(str(each.value)) for each in kind) + "."
        if kind is bool:
            return '`true`, `false` or `"unknown"`.'
    return ""


def _shown_default(default: object) -> str:
    if isinstance(default, bool):
        return str(int(default))
    return str(default.value) if isinstance(default, Enum) else str(default)
