"""Rule book -> ReportModel -> DOCX: the same tables that judge, as a person reads them."""

from rules import Rulebook
from rules.aloud import rules_aloud
from triage_app.domain.signed import Signed
from triage_app.report import labels
from triage_app.report.blocks import Numbering, bullets, electricity_sign, heading, lead, words
from triage_app.report.docx_writer import write_docx
from triage_app.report.layout import Layout
from triage_app.report.model import (
    Block,
    Box,
    Cell,
    Contents,
    Heading,
    Look,
    Paragraph,
    ReportModel,
    pictures_of,
)
from triage_app.report.pictures import sign_files
from triage_app.report.plain_text import one_line
from triage_app.report.rule_book import rows, texts, vocabulary

_SIGN_MM = 14.0


def render_rule_book(rulebook: Rulebook, *, layout: Layout, printed: Signed) -> bytes:
    """Return the book as a Word document; the same book and moment give the same bytes."""
    model = rule_book_model(rulebook, layout=layout, printed=printed)
    return write_docx(model, sign_files(pictures_of(model.blocks)), layout)


def rule_book_model(rulebook: Rulebook, *, layout: Layout, printed: Signed) -> ReportModel:
    """Return the whole book in words."""
    shop, stamp = one_line(layout.shop_name), rulebook.stamp
    numbering = Numbering()
    body = _body(rulebook, numbering)
    entries = tuple(block for block in body if isinstance(block, Heading) and block.level == 1)
    front: list[Block] = [
        words(f"{texts.TITLE}: {rulebook.title}", Look.TITLE),
        words(texts.subtitle(shop, stamp.words), Look.SUBTITLE),
        words(texts.printed(stamp.sha256, labels.moment(printed.at), printed.by), Look.SMALL),
        _first_of_all(),
        heading(1, texts.HOW, "how"),
        bullets(*texts.HOW_LINES),
        words(texts.CONTENTS, Look.CONTENTS_HEADING),
        Contents(entries=entries),
    ]
    return ReportModel(
        title=f"{texts.TITLE}: {rulebook.title}",
        author=shop or printed.by or texts.TITLE,
        subject=f"Revision {stamp.revision}",
        issued_by=printed.by,
        issued_at=printed.at,
        header_left=texts.HEADER,
        header_right=f"Revision {stamp.revision}",
        footer=texts.FOOTER,
        blocks=(*front, *body),
    )


def _first_of_all() -> Box:
    sign = Paragraph(texts=(electricity_sign(_SIGN_MM),), look=Look.CELL)
    said = lead(texts.FIRST_LEAD, texts.FIRST, Look.CELL)
    return Box(
        title=texts.FIRST_LEAD,
        cells=(Cell(content=(sign,), tone=labels.HV_TONE), Cell(content=(said,))),
        width_fracs=(0.12, 0.88),
    )


def _body(book: Rulebook, numbering: Numbering) -> list[Block]:
    aloud = rules_aloud(book)
    return [
        *vocabulary.risk(book, numbering),
        *vocabulary.parts(book, numbering),
        *vocabulary.damages(book, numbering),
        *vocabulary.zones(book, numbering),
        *rows.rules(book, aloud, numbering),
        *rows.actions(book, numbering),
        *rows.tests(book, numbering),
        *vocabulary.advice(book, numbering),
        *rows.examples(aloud, numbering),
        *rows.sources(book, aloud, numbering),
        *rows.changes(),
    ]
