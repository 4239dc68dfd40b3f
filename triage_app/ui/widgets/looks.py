"""Our one style sheet, put into the page."""

from functools import cache
from importlib.resources import files

import streamlit as st


def apply_looks() -> None:
    st.html(f"<style>{_style_sheet()}</style>")


@cache
def _style_sheet() -> str:
    return files("triage_app.ui").joinpath("assets", "ui.css").read_text(encoding="utf-8")
