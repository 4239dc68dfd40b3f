"""The car as a whole: overall risk, where it stands, how its battery may travel."""

from collections.abc import Iterable

from rules import Citation, Reason
from triage_app.report import labels, texts
from triage_app.report.blocks import bullets, cell, heading, lead, link, risk_words, words
from triage_app.report.model import Block, Cell, Look, Paragraph, Table, Text
from triage_app.report.sections.reasons import cited_short, reason_paragraph
from triage_app.report.subject import Subject


def short(subject: Subject) -> Table:
    """Return the outcome in a few lines, for page one."""
    answer = subject.assessment
    rows = [(cell(texts.OVERALL, strong=True), _overall(subject))]
    if answer.residual_risk is not None:
        remains = [(*risk_words(answer.residual_risk), Text(text=f" {texts.REMAINS_SHORT}"))]
        if answer.failed_on_car:
            remains.append((Text(text=f"{texts.FAILED_ON_CAR} {' '.join(answer.failed_on_car)}"),))
        content = tuple(Paragraph(texts=line, look=Look.CELL) for line in remains)
        rows.append((cell(texts.REMAINS, strong=True), Cell(content=content)))
    rows += [
        (
            cell(texts.QUARANTINE, strong=True),
            cell(answer.quarantine.label, f" ({_status(answer.quarantine.citations)})"),
        ),
        (
            cell(texts.TRANSPORT, strong=True),
            cell(
                answer.transport.label,
                f" ({_status(answer.transport.citations)}). ",
                link(texts.ADVICE_LINK, "outcome"),
            ),
        ),
    ]
    return Table(
        title=texts.OUTCOME,
        header=("The car as a whole", "By the rule book, on what was recorded"),
        rows=tuple(rows),
        width_fracs=(0.22, 0.78),
    )


def _overall(subject: Subject) -> Cell:
    answer = subject.assessment
    if answer.risk is None:
        return cell(texts.NOT_ASSESSED_SHORT)
    said = Paragraph(
        texts=(*risk_words(answer.risk), Text(text=f" {_set_by(subject)}")), look=Look.CELL
    )
    return Cell(content=(said,))


def _set_by(subject: Subject) -> str:
    answer = subject.assessment
    if answer.decided_by:
        return "set by the signs on the car"
    worst = [
        finding.number
        for finding in subject.findings
        if subject.of_finding(finding).risk is answer.risk
    ]
    one = "finding" if len(worst) == 1 else "findings"
    return f"set by {one} {labels.numbers_listed(sorted(worst))}"


def _status(citations: Iterable[Citation]) -> str:
    """Return how far the sources of an advice were checked, each status once."""
    statuses = dict.fromkeys(cited.status.value for cited in citations)
    return f"source: {'; '.join(statuses)}" if statuses else "no published source"


def full(subject: Subject) -> list[Block]:
    """Return the advice in full, with its reasons and sources."""
    quarantine, transport = subject.assessment.quarantine, subject.assessment.transport
    packing = f" Packing instructions: {'; '.join(transport.packing)}." if transport.packing else ""
    return [
        heading(1, texts.OUTCOME, "outcome"),
        heading(2, texts.QUARANTINE, "quarantine"),
        lead(f"{quarantine.label}.", quarantine.text),
        *_because(subject, quarantine.reasons),
        words(_sources(subject, quarantine.citations), Look.SMALL),
        heading(2, texts.TRANSPORT, "transport"),
        lead(f"{transport.label}.", f"{transport.text}{packing}"),
        *_because(subject, transport.reasons),
        *(
            [
                bullets(
                    *(
                        lead(f"{one.number}:", f"{one.travels} ({_status(one.citations)})")
                        for one in transport.un_numbers
                    )
                )
            ]
            if transport.un_numbers
            else []
        ),
        words(_sources(subject, transport.citations), Look.SMALL),
    ]


def _because(subject: Subject, reasons: tuple[Reason, ...]) -> list[Block]:
    return [bullets(*(reason_paragraph(subject, why) for why in reasons))] if reasons else []


def _sources(subject: Subject, citations: tuple[Citation, ...]) -> str:
    cited = cited_short(subject, citations)
    return f"The advice rests on: {cited}." if cited else texts.NO_SOURCE
