"""The commands, in the order in which the help shows them."""

from triage_app.cli.command import Command
from triage_app.cli.commands import (
    app,
    archive,
    cases,
    evidence,
    marking,
    measuring,
    photo_facts,
    photos,
    records,
    reporting,
    safekeeping,
    triage,
)

COMMANDS: tuple[Command, ...] = (
    *app.COMMANDS,
    *cases.COMMANDS,
    *photos.COMMANDS,
    *photo_facts.COMMANDS,
    *marking.COMMANDS,
    *measuring.COMMANDS,
    *evidence.COMMANDS,
    *triage.COMMANDS,
    *reporting.COMMANDS,
    *records.COMMANDS,
    *archive.COMMANDS,
    *safekeeping.COMMANDS,
)
