"""One entry of the rule book page: what it is called, what it says, and how it links."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from html import escape
from urllib.parse import quote

from rules.vocabulary import search_texts
from triage_app.ui import rule_book_text as text


class Kind(StrEnum):
    """What an entry is; the value is what the filter calls it."""

    PART = text.PARTS
    DAMAGE = text.DAMAGE_TYPES
    ZONE = text.ZONES
    RULE = text.RULES
    ACTION = text.ACTIONS
    TEST = text.TESTS
    SOURCE = text.SOURCES


Link = Callable[[str], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """``key`` is its id in the book. ``body`` draws it, given a way to link to other entries.

    ``topic`` groups entries of one kind. ``names`` and ``said`` are what the search looks in.
    """

    kind: Kind
    key: str
    title: str
    names: tuple[str, ...]
    said: tuple[str, ...]
    body: Callable[[Link], str]
    topic: str = ""


def found(entries: Iterable[Entry], search: str) -> tuple[Entry, ...]:
    """Return the entries that fit; in the order of the book where nothing is searched."""
    return search_texts(entries, search, names=lambda one: one.names, texts=lambda one: one.said)


def links_among(shown: Iterable[Entry]) -> Link:
    """Return a way to link: within the page where the target is shown, else in a tab of its own.

    A new tab, because leaving this one would throw away what is entered on other pages.
    """
    here = {entry.key for entry in shown}

    def link(key: str) -> str:
        if key in here:
            return f'<a href="#{anchor(key)}"><code>{escape(key)}</code></a>'
        return f'<a href="/rules?find={quote(key)}" target="_blank"><code>{escape(key)}</code></a>'

    return link


def anchor(key: str) -> str:
    return f"rb-{key}"


def entry_html(entry: Entry, link: Link, *, is_open: bool) -> str:
    """Return one entry that unfolds."""
    unfolded = " open" if is_open else ""
    return (
        f'<details class="ub-entry" id="{escape(anchor(entry.key))}"{unfolded}>'
        f"<summary>{entry.title}</summary>{entry.body(link)}</details>"
    )


def lines_html(rows: Iterable[tuple[str, Iterable[str]]]) -> str:
    """Return labelled lines; a label without any line is left out."""
    parts = []
    for label, lines in rows:
        items = [f"<dd>{line}</dd>" for line in lines if line]
        if items:
            parts.append(f"<dt>{escape(label)}</dt>{''.join(items)}")
    return f'<dl class="ub-lines">{"".join(parts)}</dl>'
