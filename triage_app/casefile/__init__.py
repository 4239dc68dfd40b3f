"""A case as JSON text: canonical out, strict in, with one sentence for the first fault."""

from triage_app.casefile.cases import case_from_json, case_to_json, parse_case
from triage_app.casefile.commands import command_from_json, command_to_json
from triage_app.casefile.journals import journal_from_json, journal_to_json

__all__ = [
    "case_from_json",
    "case_to_json",
    "command_from_json",
    "command_to_json",
    "journal_from_json",
    "journal_to_json",
    "parse_case",
]
