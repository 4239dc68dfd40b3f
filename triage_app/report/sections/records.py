"""What was found out later: records of tests, replaced parts and the maker's word, what remains."""

from rules import Assessment, Reason
from triage_app.domain.case import Finding
from triage_app.domain.evidence import EvidenceRecord, Verdict
from triage_app.domain.evidence_standing import standing_of
from triage_app.domain.ids import FindingId
from triage_app.report import labels, texts
from triage_app.report.blocks import bullets, cell, heading, intro, risk_words, words
from triage_app.report.model import Block, Cell, Look, Paragraph, Table, Text
from triage_app.report.sections.reasons import reason_paragraph
from triage_app.report.subject import Subject, anchor_of


def of_finding(subject: Subject, finding: Finding) -> list[Block]:
    """Return what remains of a finding and its records; nothing where there is no record."""
    of_it = subject.of_finding(finding)
    records = _records(subject, finding.id)
    if not records and of_it.residual is None:
        return []
    return [
        heading(3, texts.REMAINS, f"{anchor_of(finding)}_remains"),
        *_remains(subject, of_it),
        *_table(subject, records, f"Records of finding {finding.number}"),
    ]


def of_whole_car(subject: Subject) -> list[Block]:
    """Return the records about the whole car under a heading of their own, where there are any."""
    records = _records(subject, None)
    if not records:
        return []
    return [
        heading(1, texts.CAR_RECORDS, "car_records"),
        intro(texts.CAR_RECORDS_INTRO),
        *_table(subject, records, texts.CAR_RECORDS),
    ]


def _records(subject: Subject, finding_id: FindingId | None) -> list[EvidenceRecord]:
    return [record for record in subject.case.evidence if record.finding_id == finding_id]


def _remains(subject: Subject, of_it: Assessment) -> list[Block]:
    rest = of_it.residual
    if rest is None:
        return [words(texts.REMAINS_ALL)]
    said = (
        f"likelihood {labels.LIKELIHOOD_WORDS[rest.likelihood]}; the part then needs: "
        f"{labels.DISPOSITION_WORDS[rest.disposition].lower()}."
    )
    because: list[Reason] = list(rest.reasons)
    return [
        Paragraph(
            texts=(
                Text(text=f"{texts.HAZARD_STAYS} "),
                *risk_words(of_it.risk),
                Text(text=f". {texts.REMAINS_LEAD} "),
                *risk_words(rest.risk),
                Text(text=f", {said}"),
            )
        ),
        *([bullets(*(reason_paragraph(subject, why) for why in because))] if because else []),
        words(texts.REMAINS_MEANING, Look.SMALL),
    ]


def _table(subject: Subject, records: list[EvidenceRecord], title: str) -> list[Block]:
    if not records:
        return []
    return [
        Table(
            title=title,
            header=("No.", "What, and result", "Value and instrument", "Maker's criterion", "Who"),
            rows=tuple(_row(subject, record) for record in records),
            width_fracs=(0.06, 0.27, 0.19, 0.22, 0.26),
        )
    ]


def _row(subject: Subject, record: EvidenceRecord) -> tuple[Cell, ...]:
    entry = record.entry
    note = f" Note: {entry.note}" if entry.note else ""
    criterion = ""
    if entry.criterion:
        of = entry.criterion
        criterion = f"{of.text} ({of.document}, {of.document_date})"
    elif entry.test:
        criterion = texts.NO_CRITERION
    return (
        cell(str(record.number), strong=True),
        cell(f"{_what(subject, record)}{note}"),
        cell(_measured(record)),
        cell(criterion or "-"),
        _who(subject, record),
    )


def _what(subject: Subject, record: EvidenceRecord) -> str:
    entry = record.entry
    if entry.test is not None and entry.outcome is not None:
        test = subject.rulebook.open_tests.get(entry.test)
        return f"{test.text if test else entry.test} {entry.outcome.value.capitalize()}."
    if entry.instruction is not None:
        return f"{entry.kind.value.capitalize()}: {entry.instruction.value}."
    return f"{entry.kind.value.capitalize()}."


def _measured(record: EvidenceRecord) -> str:
    entry = record.entry
    parts = [] if entry.value is None else [f"{entry.value:g} {entry.unit}"]
    if entry.instrument is not None:
        due = entry.instrument.calibration_due
        parts += [entry.instrument.name, entry.instrument.serial]
        parts.append(f"calibrated until {due}" if due else "calibration not recorded")
    return ", ".join(part for part in parts if part) or "-"


def _who(subject: Subject, record: EvidenceRecord) -> Cell:
    lines = [f"Recorded by {record.recorded.by}, {labels.moment(record.recorded.at)}."]
    for decision in record.decisions:
        reason = f" {decision.reason}" if decision.verdict is not Verdict.ACCEPTED else ""
        lines.append(
            f"{decision.verdict.value.capitalize()} by {decision.signed.by}, "
            f"{labels.moment(decision.signed.at)}.{reason}"
        )
    standing = Text(text=f"{standing_of(subject.case, record).value.capitalize()}.", strong=True)
    said = tuple(Paragraph(texts=(Text(text=line),), look=Look.CELL) for line in lines)
    return Cell(content=(Paragraph(texts=(standing,), look=Look.CELL), *said))
