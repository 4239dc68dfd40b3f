"""The findings: a table of all of them, then each with pictures, facts, reasons and steps."""

from rules import Assessment, Basis, HvFlag, Reason
from triage_app.domain.case import Finding
from triage_app.domain.findings import is_near_orange
from triage_app.report import labels, texts
from triage_app.report.blocks import (
    Numbering,
    bullets,
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
    Box,
    Cell,
    ItemList,
    Look,
    Paragraph,
    Table,
    Text,
)
from triage_app.report.subject import Subject, anchor_of

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
            header=("No.", "Part and damage", "Where", "Hazard now", "HV flag", "Repair needed"),
            rows=rows,
            width_fracs=(0.07, 0.29, 0.21, 0.17, 0.12, 0.14),
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
            labels.HV_FLAG_WORDS[of_finding.hv_flag],
            strong=of_finding.hv_flag is not HvFlag.NONE,
        ),
        cell(labels.DISPOSITION_WORDS[of_finding.disposition]),
    )


def details(subject: Subject, numbering: Numbering) -> list[Block]:
    """Each finding under a heading of its own."""
    if not subject.findings:
        return []
    made: list[Block] = [
        heading(1, "Findings", "findings", starts_page=True),
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
        _verdict(finding, of_finding),
        *figures_of(subject, finding, numbering),
        _facts(subject, finding, of_finding),
        heading(3, "Why this risk", f"{anchor}_why"),
        *_reasons(subject, of_finding),
        heading(3, "High-voltage flag", f"{anchor}_hv"),
        *_flag(subject, of_finding),
        heading(3, "What must be done, in this order", f"{anchor}_steps"),
        *_steps(subject, of_finding),
        heading(3, "Tests outstanding", f"{anchor}_tests"),
        *_tests(of_finding),
    ]


def _verdict(finding: Finding, of_finding: Assessment) -> Box:
    risk, flag = of_finding.risk, of_finding.hv_flag
    risk_tone = labels.risk_tone(risk)
    flag_tone = labels.HV_TONE if flag is not HvFlag.NONE else None
    flag_words = Text(text=labels.HV_FLAG_WORDS[flag], ink=flag_tone.ink if flag_tone else None)
    sign = (electricity_sign(_FLAG_SIGN_MM), Text(text=" ")) if flag_tone else ()
    return Box(
        title=f"Finding {finding.number}: hazard now, high-voltage flag, repair needed",
        cells=(
            Cell(
                content=(
                    Paragraph(texts=(Text(text="Hazard now", ink=risk_tone.ink),), look=Look.CELL),
                    Paragraph(
                        texts=(
                            Text(
                                text=f"{labels.RISK_SQUARES[risk]} {labels.risk_word(risk)}",
                                ink=risk_tone.ink,
                            ),
                        ),
                        look=Look.CELL_BIG,
                    ),
                ),
                tone=risk_tone,
            ),
            Cell(
                content=(
                    Paragraph(
                        texts=(Text(text="High voltage", ink=flag_words.ink),), look=Look.CELL
                    ),
                    Paragraph(texts=(*sign, flag_words), look=Look.CELL_BIG),
                ),
                tone=flag_tone,
            ),
            Cell(
                content=(
                    words("Repair needed", Look.CELL),
                    words(labels.DISPOSITION_WORDS[of_finding.disposition], Look.CELL_BIG),
                )
            ),
        ),
        width_fracs=(0.3, 0.4, 0.3),
    )


def _facts(subject: Subject, finding: Finding, of_finding: Assessment) -> Table:
    tags, measures = finding.tags, finding.tags.measures
    rows = [
        ("Part", labels.component_label(tags, subject.rulebook)),
        ("Damage", labels.upper_first(labels.damage_label(tags, subject.rulebook))),
        ("Zone and side", labels.place_label(tags, subject.rulebook)),
        ("Size", labels.sizes(measures)),
        ("How measured", labels.or_not_recorded(measures.measured_how)),
        ("Distance to the nearest HV part", labels.distance(measures)),
        ("HV conductor visible", labels.yes_no(tags.hv_conductor_visible)),
        ("A cable end hangs free", labels.yes_no(tags.hangs_free)),
        (
            "Risk",
            f"{labels.risk_word(of_finding.risk)}, from consequence "
            f"{labels.CONSEQUENCE_WORDS[of_finding.consequence]} and likelihood "
            f"{labels.LIKELIHOOD_WORDS[of_finding.likelihood]}",
        ),
        ("Shown on", _photos(subject, finding)),
        ("Recorded", f"{finding.created.by}, {labels.moment(finding.created.at)}"),
    ]
    if is_near_orange(subject.case, finding):
        rows.insert(6, ("Near orange cable", "a mark lies on or near an area that looks like it"))
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


def _reasons(subject: Subject, of_finding: Assessment) -> list[Block]:
    deciding = [reason for reason in of_finding.reasons if reason.rule_id in of_finding.decided_by]
    others = [reason for reason in of_finding.reasons if reason not in deciding]
    made: list[Block] = [bullets(*(_reason(subject, reason) for reason in deciding))]
    if not deciding:
        made = [words("No rule is named as deciding; the worst outcome counts.")]
    unmeasured = sorted({name for reason in of_finding.reasons for name in reason.unmeasured})
    if unmeasured:
        made.append(
            lead(
                "Not given and taken as worst:",
                f"{labels.listed(labels.fact_words(name) for name in unmeasured)}.",
            )
        )
    if others:
        listed = " ".join(f"{reason.because} ({reason.rule_id})" for reason in others)
        made.append(lead("Further rules that apply:", listed, Look.SMALL))
    return made


def _reason(subject: Subject, reason: Reason) -> Paragraph:
    basis = _basis(subject, reason)
    together = ""
    if reason.with_findings:
        others = labels.numbers_listed(map(subject.number_of, reason.with_findings))
        together = f" Together with finding {others}."
    return words(f"{reason.because}{together} {basis} Rule {reason.rule_id}.")


def _basis(subject: Subject, reason: Reason) -> str:
    """Say what a reason rests on, with how far its source was checked."""
    if not reason.citations:
        words_ = {Basis.COMMON_PRACTICE: "Common practice", Basis.JUDGEMENT: "Our judgement"}
        return f"{words_.get(reason.basis, reason.basis.capitalize())}, without a published source."
    cited = []
    for citation in reason.citations:
        source = subject.rulebook.sources.get(citation.source)
        title = source.title if source else citation.source
        cited.append(f"{title}, {citation.clause} ({citation.status})")
    return f"Source: {'; '.join(cited)}."


def _flag(subject: Subject, of_finding: Assessment) -> list[Block]:
    if of_finding.hv_flag is HvFlag.NONE:
        return [words(texts.NOT_FLAGGED)]
    said = f"{labels.HV_FLAG_WORDS[of_finding.hv_flag]}, because:"
    decided = set(of_finding.decided_by)
    items = [
        words(f"{reason.because} Rule {reason.rule_id}.")
        if reason.rule_id in decided
        else _reason(subject, reason)
        for reason in of_finding.hv_reasons
    ]
    return [words(said), bullets(*items), words(texts.MAKER_FIRST)]


def _steps(subject: Subject, of_finding: Assessment) -> list[Block]:
    ordered = sorted(of_finding.actions, key=lambda action: action.order)
    if not ordered:
        return [words(texts.NO_ACTION)]
    safing = [subject.step_numbers[action.id] for action in ordered if action.is_safing]
    items: list[Paragraph] = []
    if safing:
        step = "step" if len(safing) == 1 else "steps"
        items.append(
            Paragraph(
                texts=(
                    Text(text=texts.SAFING_FIRST, strong=True),
                    Text(text=f" {step} {labels.numbers_listed(safing)} of "),
                    link("Required actions", "actions"),
                    Text(text="."),
                )
            )
        )
    items += [words(action.text) for action in ordered if not action.is_safing]
    return [ItemList(items=tuple(items), is_numbered=True)]


def _tests(of_finding: Assessment) -> list[Block]:
    if not of_finding.open_tests:
        return [words(texts.NO_TEST)]
    return [bullets(*(f"{test.text} By: {test.by}." for test in of_finding.open_tests))]
