"""The rule book as one Word document that a shop can print and keep."""

from triage_app.report.rule_book.build import render_rule_book

__all__ = ["render_rule_book"]
