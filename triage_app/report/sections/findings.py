"""The findings: a table of all of them, then each with pictures, facts, reasons and steps."""

from rules import Assessment, HvFlag, OpenTest
from triage_app.domain.case import Finding
from triage_app.domain.findings import is_near_orange
from triage_app.report import labels, texts
from triage_app.report.blocks import (
    Numbering,
    cell,
    electricity_sign,
    heading,
    lead,
    link,
    risk_cell,
    words,
)
from triage_app.report.figures import figures_of
from triage_app.report.model import (
    Block,
    Cell,
    Look,
    Paragraph,
    SignPicture,
    Table,
    Text,
)
from triage_app.report.sections import reasons, records
from triage_app.report.subject import Subject, anchor_of

_HEADER = ("No.", "Part and damage", "Where", "Hazard now", "High voltage", "Repair needed")
_FLAG_SIGN_MM = 5.0
# A note longer than this may need a page of its own; the table is then free to break.
_SHORT_CHARACTERS = 600


def overview(subject: Subject, numbering: Numbering) -> list[Block]:
    """One line per finding, worst first, each linked to its details."""
    title = heading(1, "All findings", "all_findings")
    if not subject.findings:
        return [title, words(texts.NOT_ASSESSED)]
    rows = tuple(_overview_row(subject, finding) for finding in subject.findings)
    return [
        title,
        Table(
            title="All findings, worst first",
            header=(*_HEADER, *([texts.REMAINS] if subject.has_records_that_count else [])),
            rows=rows,
            width_fracs=(
                (0.06, 0.22, 0.17, 0.145, 0.135, 0.125, 0.145)
                if subject.has_records_that_count
                else (0.06, 0.27, 0.2, 0.155, 0.165, 0.15)
            ),
            caption=numbering.next("Table", "All findings, worst first. Numbers are links."),
        ),
    ]


def _overview_row(subject: Subject, finding: Finding) -> tuple[Cell, ...]:
    of_finding = subject.of_finding(finding)
    return (
        cell(link(str(finding.number), anchor_of(finding))),
        cell(subject.name(finding)),
        cell(labels.place_label(finding.tags, subject.rulebook)),
        risk_cell(of_finding.risk),
        cell(
            labels.HV_FLAG_SHORT[of_finding.hv_flag],
            strong=of_finding.hv_flag is not HvFlag.NONE,
        ),
        cell(labels.DISPOSITION_WORDS[of_finding.disposition]),
        *([_remains(of_finding)] if subject.has_records_that_count else []),
    )


def _remains(of_finding: Assessment) -> Cell:
    rest = of_finding.residual
    return risk_cell(rest.risk) if rest else cell("as hazard now")


def details(subject: Subject, numbering: Numbering) -> list[Block]:
    """Each finding under a heading of its own."""
    if not subject.findings:
        return []
    made: list[Block] = [
        heading(1, "Findings", "findings"),
        words(texts.FINDINGS_INTRO),
    ]
    for finding in subject.findings:
        made += _one(subject, finding, numbering)
    return made


def _one(subject: Subject, finding: Finding, numbering: Numbering) -> list[Block]:
    of_finding = subject.of_finding(finding)
    anchor = anchor_of(finding)
    return [
        heading(2, f"Finding {finding.number}. {subject.name(finding)}", anchor),
        *_verdict(of_finding),
        *figures_of(subject, finding, numbering),
        _facts(subject, finding, of_finding),
        *reasons.blocks(subject, of_finding),
        *records.of_finding(subject, finding),
        _steps(subject, of_finding),
        _tests(subject.open_tests_of(finding)),
        *reasons.further(of_finding),
    ]


def _verdict(of_finding: Assessment) -> list[Block]:
    """Return hazard, flag and repair in two lines that stay with the first picture."""
    risk, flag = of_finding.risk, of_finding.hv_flag
    tone = labels.risk_tone(risk)
    flag_words = f" {labels.HV_FLAG_WORDS[flag]} "
    shown_flag: tuple[Text | SignPicture, ...] = (Text(text=flag_words.strip()),)
    if flag is not HvFlag.NONE:
        flagged = Text(text=flag_words, ink=labels.HV_TONE.ink, fill=labels.HV_TONE.fill)
        shown_flag = (electricity_sign(_FLAG_SIGN_MM), flagged)
    return [
        words("Hazard now\tHigh voltage\tRepair needed", Look.VERDICT_LABELS),
        Paragraph(
            texts=(
                Text(
                    text=f" {labels.RISK_SQUARES[risk]} {labels.risk_word(risk)} ",
                    ink=tone.ink,
                    fill=tone.fill,
                ),
                Text(text="\t"),
                *shown_flag,
                Text(text=f"\t{labels.DISPOSITION_WORDS[of_finding.disposition]}"),
            ),
            look=Look.VERDICT,
        ),
    ]


def _facts(subject: Subject, finding: Finding, of_finding: Assessment) -> Table:
    tags, measures = finding.tags, finding.tags.measures
    rows = [
        ("Where", labels.place_label(tags, subject.rulebook)),
        ("Size", labels.sizes(finding)),
        ("Distance to nearest HV part", labels.distance(finding)),
        (
            "Seen at the place",
            f"HV conductor visible: {labels.yes_no(tags.hv_conductor_visible)}; "
            f"a cable end hangs free: {labels.yes_no(tags.hangs_free)}",
        ),
        (
            "Risk",
            f"{labels.risk_word(of_finding.risk)}, from consequence "
            f"{labels.CONSEQUENCE_WORDS[of_finding.consequence]} and likelihood "
            f"{labels.LIKELIHOOD_WORDS[of_finding.likelihood]}",
        ),
        (
            "Recorded",
            f"{finding.created.by}, {labels.moment(finding.created.at)}; "
            f"{_photos(subject, finding)}",
        ),
    ]
    if is_near_orange(subject.case, finding):
        rows.insert(3, ("Near orange cable", texts.NEAR_ORANGE))
    if measures.measured_how:
        rows.insert(3, ("How measured", measures.measured_how))
    if tags.note:
        rows.append(("Note", tags.note))
    return Table(
        title=f"Finding {finding.number}: what was recorded",
        header=("Fact", "As recorded"),
        rows=tuple((cell(label), cell(value)) for label, value in rows),
        width_fracs=(0.26, 0.74),
        stays_together=len(tags.note) + len(measures.measured_how) < _SHORT_CHARACTERS,
    )


def _photos(subject: Subject, finding: Finding) -> str:
    shown = sorted({subject.photo_names[mark.photo_id] for mark in finding.marks})
    if not shown:
        return "no photo"
    one = "photo" if len(shown) == 1 else "photos"
    return f"{one} {labels.listed(shown)}; {labels.count(len(finding.marks), 'mark')}"


def _steps(subject: Subject, of_finding: Assessment) -> Paragraph:
    """Return the steps in one flow, by the numbers that they have for the whole case."""
    ordered = sorted(of_finding.actions, key=lambda action: action.order)
    if not ordered:
        return lead(texts.TO_DO, texts.NO_ACTION)
    safing = [subject.step_numbers[action.id] for action in ordered if action.is_safing]
    parts = [Text(text=texts.TO_DO, strong=True)]
    if safing:
        step = "step" if len(safing) == 1 else "steps"
        parts += [
            Text(text=f" {texts.SAFING_FIRST} {step} {labels.numbers_listed(safing)} of "),
            link("Required actions", "actions"),
            Text(text="."),
        ]
    for action in ordered:
        if not action.is_safing:
            number = Text(text=f" {subject.step_numbers[action.id]}", strong=True)
            parts += [number, Text(text=f" {action.text}")]
    return Paragraph(texts=tuple(parts))


def _tests(still_open: tuple[OpenTest, ...]) -> Paragraph:
    """Return the outstanding tests in one flow, by whom."""
    if not still_open:
        return lead("Tests outstanding:", texts.NO_TEST)
    by_whom: dict[str, list[str]] = {}
    for test in still_open:
        by_whom.setdefault(test.by, []).append(test.text.rstrip("."))
    said = " ".join(f"By {whom}: {'; '.join(named)}." for whom, named in by_whom.items())
    return lead("Tests outstanding:", said)
