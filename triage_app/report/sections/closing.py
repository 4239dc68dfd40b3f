"""The back of the report: intake in full, how to read it, cautions, sources, record, signatures."""

from rules import Consequence, Likelihood, Risk, Rulebook, RulebookStamp
from triage_app.domain.vehicle import SIGNS, Answer, Incident, Vehicle
from triage_app.report import labels, texts
from triage_app.report.blocks import (
    Numbering,
    bullets,
    cell,
    heading,
    intro,
    lead,
    mark_sample,
    risk_cell,
    words,
)
from triage_app.report.model import Block, Cell, Look, Paragraph, Table
from triage_app.report.plain_text import one_line
from triage_app.report.sections.summary import hv_system_line
from triage_app.report.subject import Subject

# A table with no more words than this fits on a page with room to spare.
_SHORT_CHARACTERS = 1_500
_SIGN_WORDS = {Answer.YES: "yes", Answer.NO: "no", Answer.UNKNOWN: "not known, counts as worse"}


def intake(subject: Subject) -> list[Block]:
    """Vehicle and incident as written down, nothing shortened."""
    return [
        heading(1, "Vehicle and incident", "intake"),
        _facts("Vehicle", _vehicle_rows(subject.case.vehicle)),
        _facts("Incident and arrival", _incident_rows(subject.case.incident)),
    ]


def _vehicle_rows(vehicle: Vehicle) -> list[tuple[str, str]]:
    energy, odometer = vehicle.battery_energy_kwh, vehicle.odometer_km
    return [
        ("Vehicle", labels.or_not_recorded(vehicle.description)),
        ("Plate", labels.or_not_recorded(vehicle.plate)),
        ("VIN", vehicle.vin or labels.NOT_RECORDED),
        (
            "Drive",
            str(vehicle.powertrain) if vehicle.powertrain != "unknown" else labels.NOT_RECORDED,
        ),
        ("High-voltage system", hv_system_line(vehicle)),
        (
            "Battery",
            f"energy {labels.NOT_RECORDED if energy is None else f'{labels.number(energy)} kWh'}; "
            f"chemistry {labels.or_not_recorded(vehicle.battery_chemistry)}",
        ),
        ("Odometer", labels.NOT_RECORDED if odometer is None else f"{labels.number(odometer)} km"),
    ]


def _incident_rows(incident: Incident) -> list[tuple[str, str]]:
    value = incident.pre_loss_value
    worth = labels.NOT_RECORDED
    if value is not None:
        worth = f"{labels.number(value)} {incident.currency}".strip()
    signs = (f"{name.replace('_', ' ')} {_SIGN_WORDS[getattr(incident, name)]}" for name in SIGNS)
    return [
        ("Date", labels.or_not_recorded(incident.happened_on)),
        ("What happened", labels.or_not_recorded(incident.what_happened)),
        ("Arrival", labels.or_not_recorded(incident.arrived_how)),
        ("Signs on arrival", "; ".join(signs)),
        ("Insurer's reference", labels.or_not_recorded(incident.insurer_reference)),
        ("Value before the loss", worth),
    ]


def _facts(title: str, rows: list[tuple[str, str]]) -> Table:
    return Table(
        title=f"{title} as recorded",
        header=(title, "As recorded"),
        rows=tuple((cell(label), cell(value)) for label, value in rows),
        width_fracs=(0.26, 0.74),
        stays_together=sum(len(value) for _, value in rows) < _SHORT_CHARACTERS,
    )


def _meanings(title: str, levels: list[tuple[str, str]], numbering: Numbering) -> Table:
    return Table(
        title=title,
        header=(title, "What it means here"),
        rows=tuple((cell(level, strong=True), cell(says)) for level, says in levels),
        width_fracs=(0.22, 0.78),
        caption=numbering.next("Table", f"{title}, in the words of the rule book."),
        stays_together=True,
    )


def how_to_read(subject: Subject, numbering: Numbering) -> list[Block]:
    """Say what levels, flags, marks and words mean."""
    book = subject.rulebook
    rows = tuple(
        (
            risk_cell(risk),
            Cell(content=(Paragraph(texts=(mark_sample(risk),), look=Look.CELL),)),
            cell(_cells_of(book, risk)),
        )
        for risk in sorted(Risk, reverse=True)
    )
    return [
        heading(1, "How to read this report", "reading"),
        intro(texts.READ_RISK),
        Table(
            title="Risk levels and how their marks look",
            header=("Risk", "Mark on photos", "Consequence and likelihood that lead to it"),
            rows=rows,
            width_fracs=(0.22, 0.3, 0.48),
            caption=numbering.next("Table", "Risk levels by word, squares, colour and outline."),
            stays_together=True,
        ),
        _meanings(
            "Consequence",
            [
                (labels.CONSEQUENCE_WORDS[at], what.says)
                for at, what in sorted(book.consequences.items())
            ],
            numbering,
        ),
        _meanings(
            "Likelihood",
            [
                (labels.LIKELIHOOD_WORDS[at], what.says)
                for at, what in sorted(book.likelihoods.items())
            ],
            numbering,
        ),
        *(lead(strong, text) for strong, text in texts.READ_HV),
        words(texts.READ_REPAIR),
        words(texts.READ_SUGGESTION),
    ]


def _cells_of(book: Rulebook, risk: Risk) -> str:
    """Return the cells of the book's risk matrix that hold this level, such as "1A to 1C; 2A"."""
    by_consequence = []
    for consequence in sorted(Consequence):
        letters = [
            likelihood
            for likelihood in sorted(Likelihood)
            if book.risk_matrix[consequence, likelihood] is risk
        ]
        if letters:
            by_consequence.append(
                f"{labels.CONSEQUENCE_WORDS[consequence]} with {labels.listed(letters)}"
            )
    return "; ".join(by_consequence)


def cautions() -> list[Block]:
    return [heading(1, "Cautions", "cautions"), bullets(*texts.CAUTIONS)]


def record(subject: Subject, case_sha256: str) -> list[Block]:
    """Return the numbers by which the report can be checked later."""
    material, stamp = subject.material, subject.assessment.stamp
    rows = (
        ("Case", f"{subject.case.reference}, revision {subject.case.revision}"),
        ("Hash of the case", f"SHA-256 {case_sha256} of its canonical JSON"),
        ("Case opened", f"{subject.case.opened.by}, {labels.moment(subject.case.opened.at)}"),
        ("Report issued", f"{material.issued.by}, {labels.moment(material.issued.at)}"),
        ("Rule book", f"{stamp.words}, SHA-256 {stamp.sha256}{_overlay(stamp)}"),
        (
            "Journal before issue",
            f"{labels.count(material.journal_count, 'entry', 'entries')}, "
            f"head hash {material.journal_head}",
        ),
    )
    return [
        heading(1, "Record", "record"),
        intro(texts.RECORD_INTRO),
        Table(
            title="Record",
            header=("What", "Value"),
            rows=tuple((cell(label), cell(value)) for label, value in rows),
            width_fracs=(0.26, 0.74),
        ),
    ]


def _overlay(stamp: RulebookStamp) -> str:
    """Say which file of the shop lies over the book; nothing without one."""
    if stamp.overlay is None:
        return ""
    return f" (both together); the shop's file alone: SHA-256 {stamp.overlay.sha256}"


def signatures(subject: Subject) -> list[Block]:
    """Lines for the estimator and the senior technician; who released stands there already."""
    by = subject.material.issued
    released = (cell(one_line(by.by)), _blank(), cell(labels.moment(by.at)))
    is_release = subject.material.is_release
    rows = (
        (cell("Estimator", strong=True), *_blanks()),
        (cell("Senior technician", strong=True), *(released if is_release else _blanks())),
    )
    return [
        heading(1, "Signatures", "signatures"),
        intro(texts.SIGNED_INTRO if is_release else texts.SIGNATURES_INTRO),
        Table(
            title="Signature lines",
            header=("Role", "Name", "Signature", "Date"),
            rows=rows,
            width_fracs=(0.22, 0.28, 0.32, 0.18),
            stays_together=True,
        ),
    ]


def _blanks() -> tuple[Cell, ...]:
    return (_blank(), _blank(), _blank())


def _blank() -> Cell:
    return Cell(content=(words(" ", Look.SIGNATURE),))
