"""The rule book's words, to look up a part or a kind of damage and what else it is called."""

from html import escape

import streamlit as st

from rules import Component, DamageType, Source
from triage_app.ui import mark_text, text
from triage_app.ui.names import zone_label
from triage_app.ui.widgets.notices import next_step
from triage_app.ui.wiring import rulebook


def show() -> None:
    book = rulebook()
    st.title(text.PAGE_RULES, anchor=False)
    next_step(text.RULES_NEXT)
    search = st.text_input(text.RULES_SEARCH, key="rules-search").strip().casefold()
    _entries(text.COMPONENTS, [_component(one) for one in book.components.values()], search)
    _entries(text.DAMAGE_TYPES, [_damage(one) for one in book.damage_types.values()], search)
    _entries(text.SOURCES, [_source(one) for one in book.sources.values()], search)
    st.caption(text.rulebook_line(book.stamp))


def _entries(title: str, entries: list[tuple[str, str]], search: str) -> None:
    """Show entries (name, text) in which every searched word occurs."""
    words = search.split()
    found = [
        f"<dt>{escape(name)}</dt><dd>{escape(said)}</dd>"
        for name, said in sorted(entries)
        if all(word in f"{name} {said}".casefold() for word in words)
    ]
    with st.expander(f"{title} ({len(found)})", expanded=bool(words)):
        st.html(f'<dl class="ub-words">{"".join(found)}</dl>')


def _component(part: Component) -> tuple[str, str]:
    hv = text.HV_PART if part.is_hv else text.HV_BEHIND if part.hv_runs_behind else ""
    zones = ", ".join(zone_label(zone) or zone for zone in part.zones)
    said = [part.description, hv, _also(part.synonyms), f"{mark_text.ZONE}: {zones}"]
    return part.label, " · ".join(piece for piece in said if piece)


def _damage(kind: DamageType) -> tuple[str, str]:
    said = [kind.description, _also(kind.synonyms)]
    return kind.label, " · ".join(piece for piece in said if piece)


def _also(synonyms: tuple[str, ...]) -> str:
    return f"{text.ALSO_CALLED}: {', '.join(synonyms)}" if synonyms else ""


def _source(source: Source) -> tuple[str, str]:
    return source.title, f"{source.publisher}, {source.edition} [{source.status.value}]"
