"""Parts, kinds of damage and zones as entries."""

from collections.abc import Iterator
from html import escape

from rules import Component, DamageType, Rulebook, Zone
from triage_app.ui import rule_book_text as text
from triage_app.ui.rule_book.entry import Entry, Kind, lines_html
from triage_app.ui.words import FACTS


def vocabulary_entries(book: Rulebook) -> Iterator[Entry]:
    yield from (_part(book, part) for part in book.components.values())
    yield from (_damage(damage) for damage in book.damage_types.values())
    yield from (_zone(book, zone) for zone in book.zones.values())


def _part(book: Rulebook, part: Component) -> Entry:
    hv = text.HV_PART if part.is_hv else text.HV_BEHIND if part.hv_runs_behind else ""
    zones = ", ".join(book.zones[zone].label for zone in part.zones)
    role = part.role.value.replace("_", "-")
    rows = (
        (text.WHAT_IT_IS, [escape(part.description)]),
        (text.ALSO_CALLED, [escape(", ".join(part.synonyms))]),
        (text.HIGH_VOLTAGE, [hv]),
        (text.ROLE, [escape(role)]),
        (text.FOUND_IN, [escape(zones)]),
    )
    return Entry(
        kind=Kind.PART,
        key=part.id,
        title=_named(part.label, hv),
        names=(part.label, part.id, *part.synonyms),
        said=(part.description, zones, role, hv),
        body=lambda _: lines_html(rows),
    )


def _damage(damage: DamageType) -> Entry:
    sizes = ", ".join(FACTS.get(name, name) for name in damage.measures)
    rows = (
        (text.WHAT_IT_IS, [escape(damage.description)]),
        (text.ALSO_CALLED, [escape(", ".join(damage.synonyms))]),
        (text.SIZES, [escape(sizes)]),
    )
    return Entry(
        kind=Kind.DAMAGE,
        key=damage.id,
        title=_named(damage.label),
        names=(damage.label, damage.id, *damage.synonyms),
        said=(damage.description,),
        body=lambda _: lines_html(rows),
    )


def _zone(book: Rulebook, zone: Zone) -> Entry:
    hv = text.HV_HERE if zone.hv_runs_here else ""
    rows = (
        (text.WHAT_IT_IS, [escape(zone.description)]),
        (text.HIGH_VOLTAGE, [hv]),
        (text.BESIDE_IT, [escape(", ".join(book.zones[one].label for one in zone.adjacent))]),
    )
    return Entry(
        kind=Kind.ZONE,
        key=zone.id,
        title=_named(zone.label, hv),
        names=(zone.label, zone.id),
        said=(zone.description, hv),
        body=lambda _: lines_html(rows),
    )


def _named(label: str, more: str = "") -> str:
    return f"<b>{escape(label)}</b>" + (f" · {escape(more)}" if more else "")
