"""Case -> words, numbers and annotated pictures -> DOCX."""

from triage_app.report.layout import Layout
from triage_app.report.render import render_report

__all__ = ["Layout", "render_report"]
