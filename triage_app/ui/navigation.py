"""The pages by name, so that any page can link to any other without importing it."""

from collections.abc import Callable, Mapping
from enum import StrEnum

import streamlit as st


class Place(StrEnum):
    """A page; the value is its address. The first one is what a person sees on coming in."""

    CASES = "cases"
    INTAKE = "intake"
    GATE = "gate"
    SAFE = "make-safe"
    MARK = "mark"
    CHECKLIST = "checklist"
    TRIAGE = "triage"
    REVIEW = "review"
    REPORT = "report"
    RULES = "rules"
    PEOPLE = "people"
    SETTINGS = "settings"


Draw = Callable[[], None]
_table: dict[Place, tuple[str, Draw]] = {}


def register(table: Mapping[Place, tuple[str, Draw]]) -> list[st.Page]:
    """Take the table of titles and page functions; return Streamlit's pages in its order."""
    _table.update(table)
    return [page(place) for place in table]


def page(place: Place) -> st.Page:
    """Return Streamlit's page for a place in the table."""
    title, draw = _table[place]
    return st.Page(draw, title=title, url_path=place.value, default=place is Place.CASES)
