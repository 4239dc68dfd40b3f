"""Case -> words, numbers and annotated pictures -> DOCX."""

from triage_app.report.layout import Layout
from triage_app.report.render import render_report
from triage_app.report.rule_book import render_rule_book

__all__ = ["Layout", "render_report", "render_rule_book"]
