"""The rule book, line by line: search it, filter it, unfold each row, take it along on paper."""

from functools import lru_cache
from html import escape

import streamlit as st

from rules import Rulebook
from rules.aloud import TOPICS
from rules.changes import book_changes
from triage_app.ui import rule_book_text as said
from triage_app.ui import text
from triage_app.ui.picture_links import RULE_BOOK_LINK
from triage_app.ui.rule_book.entry import Entry, Kind, entry_html, found, links_among
from triage_app.ui.rule_book.judgement import judgement_entries
from triage_app.ui.rule_book.risk import meanings_html, risk_table_html
from triage_app.ui.rule_book.vocabulary import vocabulary_entries
from triage_app.ui.widgets.notices import next_step
from triage_app.ui.wiring import rulebook

_SHOWS = (said.EVERYTHING, *Kind, said.RISK, said.CHANGES)
_FEW = 3


def show() -> None:
    book = rulebook()
    st.title(text.PAGE_RULES, anchor=False)
    next_step(said.NEXT)
    search, wanted, topic, unfold = _asked()
    st.html(f'<p class="ub-quiet">{escape(said.HOW_IT_WORKS)}</p>')
    shown = _shown(book, search, wanted, topic)
    if wanted == said.RISK or (wanted == said.EVERYTHING and not search):
        _risk(book, is_open=wanted == said.RISK)
    _entries(shown, search, unfold=unfold or len(shown) <= _FEW)
    if wanted in (*Kind, said.EVERYTHING) and not shown:
        st.info(said.NOTHING)
    if wanted == said.CHANGES or (wanted == said.EVERYTHING and not search):
        _changes(is_open=wanted == said.CHANGES)
    st.caption(said.stamp(book.stamp))


def _asked() -> tuple[str, str, str, bool]:
    """Draw the search and return what is asked for: text, kind, topic, all unfolded."""
    asked_by_address = st.query_params.get("find", "")
    left, right = st.columns([2, 1], gap="medium", vertical_alignment="bottom")
    with left:
        search = st.text_input(
            said.SEARCH, asked_by_address, key="rules-search", placeholder=said.SEARCH_HINT
        )
    with right:
        st.html(f'<a class="ub-button" href="{RULE_BOOK_LINK}">{escape(said.DOWNLOAD)}</a>')
    wanted = st.radio(said.SHOW, _SHOWS, key="rules-kind", horizontal=True)
    topic = said.ALL_TOPICS
    if wanted == Kind.RULE:
        topic = st.selectbox(said.TOPIC, [said.ALL_TOPICS, *TOPICS.values()], key="rules-topic")
    unfold = st.checkbox(said.UNFOLD, key="rules-unfold")
    return search.strip(), wanted, topic, unfold


def _shown(book: Rulebook, search: str, wanted: str, topic: str) -> tuple[Entry, ...]:
    fitting = [
        entry
        for entry in _book_entries(book.stamp.sha256)
        if wanted in (said.EVERYTHING, entry.kind) and topic in (said.ALL_TOPICS, entry.topic)
    ]
    return found(fitting, search)


@lru_cache(maxsize=2)
def _book_entries(sha256: str) -> tuple[Entry, ...]:
    book = rulebook()
    if book.stamp.sha256 != sha256:
        raise ValueError("the entries of another book were asked for")
    return (*vocabulary_entries(book), *judgement_entries(book))


def _entries(shown: tuple[Entry, ...], search: str, *, unfold: bool) -> None:
    """Show the entries kind by kind, rules by topic too; the one that was named is unfolded."""
    link = links_among(shown)
    for kind in Kind:
        entries = [entry for entry in shown if entry.kind is kind]
        if not entries:
            continue
        body = ""
        for topic in dict.fromkeys(entry.topic for entry in entries):
            body += f"<h4>{escape(topic)}</h4>" if topic else ""
            body += "".join(
                entry_html(entry, link, is_open=unfold or entry.key.lower() == search.lower())
                for entry in entries
                if entry.topic == topic
            )
        title = escape(said.number_found(len(entries), kind))
        is_open = unfold or search or len(shown) == len(entries)
        unfolded = " open" if is_open else ""
        st.html(f'<details class="ub-section"{unfolded}><summary>{title}</summary>{body}</details>')


def _risk(book: Rulebook, *, is_open: bool) -> None:
    unfolded = " open" if is_open else ""
    st.html(
        f'<details class="ub-section"{unfolded}><summary>{escape(said.RISK_TABLE)}</summary>'
        f"{risk_table_html(book)}{meanings_html(book)}</details>"
    )


def _changes(*, is_open: bool) -> None:
    with st.expander(said.CHANGES, expanded=is_open):
        st.markdown(book_changes().partition("\n")[2])
