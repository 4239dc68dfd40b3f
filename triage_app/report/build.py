"""Case + assessment -> ReportModel: every word and number that the document will hold."""

from rules import Rulebook
from triage_app.report import texts
from triage_app.report.blocks import Numbering, words
from triage_app.report.layout import Layout
from triage_app.report.model import Block, Contents, Heading, Look, ReportModel
from triage_app.report.plain_text import one_line
from triage_app.report.sections import (
    actions,
    appendix,
    changes,
    closing,
    findings,
    inspection,
    outcome,
    photos,
    records,
    review,
    summary,
    underside,
)
from triage_app.report.sections import safing as make_safe
from triage_app.report.stated import statement_of
from triage_app.report.statement import statement_to_json
from triage_app.report.subject import Subject
from triage_app.services.reporting import ReportInput


def report_from(material: ReportInput, rulebook: Rulebook, layout: Layout) -> ReportModel:
    """Return the whole report in words; no pixel is touched."""
    subject = Subject.of(material, rulebook, layout)
    numbering = Numbering()
    statement = statement_of(subject)
    changed = changes.since_last_release(subject, statement)
    front = [
        *summary.blocks(subject, changes.line(subject, changed)),
        *changes.blocks(subject, changed, numbering),
    ]
    body = [
        *findings.overview(subject, numbering),
        *underside.overview(subject, numbering),
        *findings.details(subject, numbering),
        *actions.actions(subject, numbering),
        *actions.tests(subject, numbering),
        *records.of_whole_car(subject),
        *review.reviews(subject, numbering),
        *outcome.full(subject),
        *actions.withdrawn(subject, numbering),
        *inspection.admission(subject, numbering),
        *make_safe.record(subject, numbering),
        *inspection.checklist(subject, numbering),
        *photos.unmarked(subject, numbering),
        *photos.log(subject, numbering),
        *closing.intake(subject),
        *closing.how_to_read(subject, numbering),
        *closing.cautions(),
        *appendix.rules(subject, numbering),
        *appendix.sources(subject, numbering),
        *closing.record(subject, statement.case_sha256),
        *closing.signatures(subject),
    ]
    state = texts.RELEASED if material.is_release else texts.DRAFT
    reference, shop = one_line(material.case.reference), one_line(layout.shop_name)
    return ReportModel(
        title=f"{texts.TITLE} {reference}",
        author=shop or material.issued.by,
        subject=f"Case {reference}, revision {material.case.revision}, {state.lower()}",
        issued_by=material.issued.by,
        issued_at=material.issued.at,
        header_left=f"{texts.RELEASED}" if material.is_release else f"{texts.DRAFT} · not released",
        header_right=f"Case {reference}, revision {material.case.revision}",
        footer=texts.FOOTER,
        blocks=(*front, *_contents(front, body), *body),
        statement=statement_to_json(statement),
    )


def _contents(front: list[Block], body: list[Block]) -> list[Block]:
    """Return the contents: the headings of level 1, on a new page after the summary."""
    entries = tuple(
        block for block in (*front, *body) if isinstance(block, Heading) and block.level == 1
    )
    return [words("Contents", Look.CONTENTS_HEADING), Contents(entries=entries)]
