"""The gate before the lift, and the inspection checklist: what was seen, and why what was not."""

from collections.abc import Sequence

from triage_app.domain.admission.status import (
    AdmissionState,
    AdmissionStatus,
    admission_of,
    signer_of,
)
from triage_app.domain.inspection.checklist import ItemStanding, ZoneList, checklist_of
from triage_app.domain.inspection.entries import ItemState
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, lead, words
from triage_app.report.model import Block, Cell, Paragraph, Table
from triage_app.report.plain_text import one_line
from triage_app.report.subject import Subject


def admission_line(subject: Subject) -> Paragraph:
    """Return where the car stood at the gate, for page one."""
    status = admission_of(subject.case)
    return lead(f"{texts.ADMISSION_STATES[status.state]}", _why(status))


def inspection_line(subject: Subject) -> Paragraph:
    """Return how much nobody saw, for page one."""
    items = checklist_of(subject.case, subject.rulebook).items
    closed = sum(one.state is ItemState.NOT_ACCESSIBLE for one in items)
    left = sum(one.state is ItemState.NOT_INSPECTED for one in items)
    said = (
        f"{labels.count(closed, 'item')} not accessible and {left} not inspected, of {len(items)} "
        f"on the checklist. {texts.NO_FINDING}"
    )
    return lead("Not seen:", said)


def admission(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return the answers at the gate with who gave them, and every decision."""
    case, status = subject.case, admission_of(subject.case)
    rows: list[tuple[Cell, ...]] = []
    for sign in status.signs:
        by = sign.answered.recorded if sign.answered else None
        rows.append(
            (
                cell(sign.sign.replace("_", " ")),
                cell(sign.answer.value if by else "not answered by name"),
                cell(f"{by.by}, {labels.moment(by.at)}" if by else "nobody"),
                cell(one_line(sign.note)),
            )
        )
    blocks: list[Block] = [
        heading(1, "Admission: signs before the lift", "admission"),
        words(f"{texts.ADMISSION_STATES[status.state]} {_why(status)}"),
        Table(
            title="Signs at the gate",
            caption=numbering.next(
                "Table", "Signs at the gate, answered before the car was lifted."
            ),
            header=("Sign", "Answer", "By, when", "Note"),
            rows=tuple(rows),
            width_fracs=(0.24, 0.18, 0.32, 0.26),
        ),
    ]
    held = [
        f"{cause.sign.replace('_', ' ')}: {cause.answer.value}"
        + (f" ({signed.by}, {labels.moment(signed.at)})" if signed else " (nobody by name)")
        for cause in status.causes
        for signed in [signer_of(case, cause)]
    ]
    if held:
        blocks.append(words(f"Answers that hold such a car outside: {'; '.join(held)}."))
    return blocks


def checklist(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return the checklist zone by zone, with the reason for what nobody saw."""
    listed = checklist_of(subject.case, subject.rulebook)
    return [
        heading(1, "Inspection checklist", "checklist"),
        intro(texts.CHECKLIST_INTRO),
        Table(
            title="Inspection checklist by zone",
            caption=numbering.next("Table", "Inspection checklist by zone."),
            header=("Zone", "Damaged", "No visible damage", "Not accessible", "Not inspected"),
            rows=tuple(_zone_row(zone) for zone in listed.zones),
            width_fracs=(0.16, 0.2, 0.24, 0.2, 0.2),
        ),
        Table(
            title="Photos that an insurer expects",
            caption=numbering.next("Table", "Photos that an insurer expects."),
            header=("Photo", "Shown on, or why there is none"),
            rows=tuple(
                (
                    cell(str(one.expected)),
                    cell(
                        ", ".join(f"photo {subject.photo_names[each]}" for each in one.photo_ids)
                        or one_line(one.reason)
                        or "no photo, and nobody said why"
                    ),
                )
                for one in listed.photos
            ),
            width_fracs=(0.34, 0.66),
        ),
    ]


def _why(status: AdmissionStatus) -> str:
    if status.decision is not None and status.decided is not None:
        by = status.decision.recorded
        return f"{one_line(status.decided.reason)} ({by.by}, {labels.moment(by.at)})"
    if status.state is AdmissionState.HELD:
        holding = labels.count(len(status.holding), "answer holds", "answers hold")
        return f"{holding} it; nobody decided."
    return "That nobody noticed a sign says nothing about the battery."


def _zone_row(zone: ZoneList) -> tuple[Cell, ...]:
    return (
        cell(zone.label, strong=True),
        *(cell(_in_state(zone.items, state)) for state in ItemState),
    )


def _in_state(items: Sequence[ItemStanding], state: ItemState) -> str:
    """Return the parts in one state; those with a reason stand before it."""
    here = [one for one in items if one.state is state]
    if not here:
        return "none"
    if state.was_seen:
        return ", ".join(one.label for one in here)
    by_reason: dict[str, list[str]] = {}
    for one in here:
        reason = one_line(one.said.reason) if one.said and one.said.reason else ""
        by_reason.setdefault(reason, []).append(one.label)
    parts = []
    for reason, names in by_reason.items():
        shown = ", ".join(names) if len(names) <= 3 else f"{len(names)} parts"
        parts.append(f"{shown}: {reason or 'nobody said why'}")
    return "; ".join(parts)
