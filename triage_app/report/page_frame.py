"""What surrounds the text: paper, header, footer and the properties of the file."""

from datetime import timedelta
from typing import cast

from docx.document import Document as WordDocument
from docx.oxml.xmlchemy import BaseOxmlElement
from docx.shared import Mm

from triage_app.report import wml
from triage_app.report.layout import MARGIN_MM, Layout
from triage_app.report.model import ReportModel

LANGUAGE = "en-GB"
_HEADER_MM = 9.0


def set_page(document: WordDocument, layout: Layout) -> None:
    section = document.sections[0]
    section.page_width, section.page_height = Mm(layout.page_width_mm), Mm(layout.page_height_mm)
    section.left_margin = section.right_margin = Mm(MARGIN_MM)
    section.top_margin, section.bottom_margin = Mm(MARGIN_MM), Mm(MARGIN_MM - 2)
    section.header_distance = section.footer_distance = Mm(_HEADER_MM)
    section.gutter = Mm(0)


def write_header_and_footer(document: WordDocument, model: ReportModel, layout: Layout) -> None:
    """Write what stands on every page, with "Page X of Y" as fields."""
    section = document.sections[0]
    section.header.is_linked_to_previous = False
    section.footer.is_linked_to_previous = False
    head = _only_paragraph(section.header.part.element, "Header", layout)
    wml.add_words(head, model.header_left, strong=True)
    wml.add_words(head, f"\t{model.header_right}")
    foot = _only_paragraph(section.footer.part.element, "Footer", layout)
    wml.add_words(foot, f"{model.footer}\tPage ")
    _add_field(foot, "PAGE", "1")
    wml.add_words(foot, " of ")
    _add_field(foot, "NUMPAGES", "1")


def _only_paragraph(story: BaseOxmlElement, style_id: str, layout: Layout) -> BaseOxmlElement:
    """Empty a header or footer and return its new paragraph with a tab at the right margin."""
    for child in list(story):
        story.remove(child)
    paragraph = wml.add_paragraph(story, style_id)
    tabs = wml.add(cast(BaseOxmlElement, paragraph[0]), "tabs")
    wml.add(tabs, "tab", val="right", pos=wml.twips(layout.text_width_mm))
    return paragraph


def _add_field(paragraph: BaseOxmlElement, instruction: str, result: str) -> None:
    wml.begin_field(paragraph, instruction)
    wml.add_words(paragraph, result)
    wml.end_field(paragraph)


def set_properties(document: WordDocument, model: ReportModel) -> None:
    """Set title, author, language and the moment of issue; no clock is asked."""
    core = document.core_properties
    issued = (model.issued_at - (model.issued_at.utcoffset() or timedelta())).replace(tzinfo=None)
    core.title, core.subject = model.title[:255], model.subject[:255]
    core.author, core.last_modified_by = model.author[:255], model.issued_by[:255]
    core.language, core.comments, core.revision = LANGUAGE, "", 1
    core.created = core.modified = issued.replace(microsecond=0)
