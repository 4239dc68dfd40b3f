"""The fields that say what is damaged and how, and their way to and from ``Tags``."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields as fields_of
from typing import Any, TypeVar

import streamlit as st

from rules import Component, ComponentId, DamageId, Side, ZoneId
from triage_app.domain.case import MAX_LENGTH_MM, Measures, Tags
from triage_app.domain.vehicle import Answer
from triage_app.ui import mark_text, state, words
from triage_app.ui.names import component_label, damage_label, zone_label
from triage_app.ui.wiring import rulebook

MEASURES = tuple(field.name for field in fields_of(Measures))
TAGS = tuple(field.name for field in fields_of(Tags) if field.name != "measures")
CHIPS = 6
Values = dict[str, object]
_Key = TypeVar("_Key", bound=str)

# A choice between buttons needs a word for "not said", where the tags have None.
_YES_NO: dict[object, str] = {None: Answer.UNKNOWN, True: Answer.YES, False: Answer.NO}
_TOKENS: dict[str, dict[object, str]] = {
    "side": {None: words.NO_SIDE, **{side: side.value for side in Side}},
    "hv_conductor_visible": _YES_NO,
    "hangs_free": _YES_NO,
    "covers_off": _YES_NO,
}

_DETAILS = (
    "length_mm",
    "width_mm",
    "depth_mm",
    "measured_how",
    "distance_to_hv_mm",
    "distance_uncertainty_mm",
    "note",
)
LABELS = {
    "component": mark_text.COMPONENT,
    "damage": mark_text.DAMAGE,
    "zone": mark_text.ZONE,
    "side": mark_text.SIDE,
    "hv_conductor_visible": mark_text.CONDUCTOR_VISIBLE,
    "hangs_free": mark_text.HANGS_FREE,
    "length_mm": mark_text.LENGTH,
    "width_mm": mark_text.WIDTH,
    "depth_mm": mark_text.DEPTH,
    "measured_how": mark_text.MEASURED_HOW,
    "sources": mark_text.SOURCES,
    "distance_to_hv_mm": mark_text.DISTANCE,
    "distance_uncertainty_mm": mark_text.UNCERTAINTY,
    "covers_off": mark_text.COVERS_OFF,
    "note": mark_text.NOTE,
}


def values_from(tags: Tags) -> Values:
    """Return what the fields hold for these tags."""
    values: Values = {name: getattr(tags, name) for name in TAGS}
    values |= {name: getattr(tags.measures, name) for name in MEASURES}
    return values | {name: _TOKENS[name][values[name]] for name in _TOKENS}


def tags_from(values: Mapping[str, object]) -> Tags:
    """Return the tags that the fields say; InvalidInputError if a value cannot be right."""
    said: dict[str, Any] = dict(values)
    for name, tokens in _TOKENS.items():
        said[name] = next(value for value, token in tokens.items() if token == said[name])
    measures = Measures(**{name: said[name] for name in MEASURES})
    return Tags(measures=measures, **{name: said[name] for name in TAGS})


def shown_value(name: str, value: object) -> str:
    """Return a field's value as a person reads it, to compare two versions."""
    word = _WORDS[name](value) if name in _WORDS else value
    return words.NOT_SAID if word in (None, "") else str(word)


def tag_fields(
    prefix: str,
    values: Values,
    *,
    on_change: Callable[[], None],
    used: Sequence[Tags] = (),
) -> None:
    """Draw the fields under ``prefix``; they start from ``values`` and report every change.

    ``used`` are tags given before, the last ones first: their words stand first in the lists.
    """
    for name, value in values.items():
        state.seed(field_key(prefix, name), value)
    draw = _Fields(prefix=prefix, on_change=on_change, used=used)
    draw.what(values)
    draw.hv()
    measured = any(values[name] not in (None, "") for name in _DETAILS)
    with st.expander(mark_text.DETAILS, expanded=measured):
        draw.details()


def some_fields(prefix: str, values: Values, names: Sequence[str]) -> Values:
    """Draw only the fields in ``names``; return ``values`` with what these hold now."""
    for name in names:
        state.seed(field_key(prefix, name), values[name])
    draw = _Fields(prefix=prefix, on_change=_nothing)
    for name in names:
        draw.one(name, values)
    return values | {name: state.field_value(field_key(prefix, name)) for name in names}


def _nothing() -> None:
    """Do nothing more: the page is drawn anew with what was entered."""


def entered_values(prefix: str) -> Values:
    """Return what the fields hold now, also from inside their callback."""
    return {name: state.field_value(field_key(prefix, name)) for name in (*TAGS, *MEASURES)}


def field_key(prefix: str, name: str) -> str:
    return f"{prefix}-{name}"


class _Fields:
    """Draws each kind of field with its key and callback spelled once."""

    def __init__(
        self, *, prefix: str, on_change: Callable[[], None], used: Sequence[Tags] = ()
    ) -> None:
        self._prefix = prefix
        self._used = used
        self._on_change = on_change

    def one(self, name: str, values: Values) -> None:
        """Draw the one field of this name."""
        if name in _TOKENS:
            self._one_of(name, words.SIDE_WORDS if name == "side" else words.ANSWERS)
        elif name in ("component", "damage", "zone"):
            self._word(name, values)
        else:
            self._millimetres(name)

    def _word(self, name: str, values: Values) -> None:
        book = rulebook()
        if name == "component":
            parts = {key: one.synonyms for key, one in _by_label(book.components)}
            self._choice(name, self._used_first(name, parts), component_label)
        elif name == "damage":
            damages = {key: one.synonyms for key, one in _by_label(book.damage_types)}
            damages = self._used_first(name, damages)
            if self._used or values[name] is None:
                self._chips(name, list(damages)[:CHIPS])
            self._choice(name, damages, damage_label)
        else:
            component = book.components.get(ComponentId(str(values["component"])))
            self._choice(name, dict.fromkeys(_zones(component), ()), zone_label)

    def _used_first(
        self, name: str, options: dict[_Key, tuple[str, ...]]
    ) -> dict[_Key, tuple[str, ...]]:
        used: list[Any] = [getattr(tags, name) for tags in self._used]
        first = [option for option in dict.fromkeys(used) if option in options]
        return {option: options[option] for option in dict.fromkeys([*first, *options])}

    def _chips(self, name: str, damages: Sequence[_Key]) -> None:
        """Draw one button for each damage that is likely meant: one tap instead of a search."""
        with st.container(horizontal=True, gap="xsmall", key=field_key(self._prefix, "chips")):
            for damage in damages:
                st.button(
                    damage_label(DamageId(damage)) or damage,
                    key=field_key(self._prefix, f"chip-{damage}"),
                    on_click=self._take_chip,
                    args=(name, damage),
                )

    def _take_chip(self, name: str, value: str) -> None:
        state.seed(field_key(self._prefix, name), value, anew=True)
        self._on_change()

    def what(self, values: Values) -> None:
        for name in ("component", "damage", "zone", "side"):
            self.one(name, values)

    def hv(self) -> None:
        self._one_of("hv_conductor_visible", words.ANSWERS)
        self._one_of("hangs_free", words.ANSWERS)

    def details(self) -> None:
        st.caption(mark_text.SIZE)
        for column, name in zip(st.columns(3), ("length_mm", "width_mm", "depth_mm"), strict=True):
            with column:
                self._millimetres(name)
        self._text("measured_how")
        self._millimetres("distance_to_hv_mm")
        self._millimetres("distance_uncertainty_mm")
        self._one_of("covers_off", words.ANSWERS)
        key = field_key(self._prefix, "note")
        st.text_area(LABELS["note"], key=key, on_change=self._on_change, height=100)

    def _choice(
        self,
        name: str,
        options: Mapping[_Key, tuple[str, ...]],
        label: Callable[[_Key], str | None],
    ) -> None:
        """Draw a list searched by typing; other names stand in it, so typing them finds it."""
        key = field_key(self._prefix, name)
        stored: Any = state.field_value(key)
        listed = list(options) if stored is None or stored in options else [*options, stored]

        def shown(option: _Key) -> str:
            others = options.get(option, ())
            return " — ".join(part for part in (label(option), ", ".join(others)) if part)

        st.selectbox(
            LABELS[name],
            listed,
            index=None,
            key=key,
            format_func=shown,
            placeholder=mark_text.CHOOSE,
            on_change=self._on_change,
        )

    def _one_of(self, name: str, words: Mapping[Any, str]) -> None:
        st.radio(
            LABELS[name],
            list(words),
            key=field_key(self._prefix, name),
            format_func=words.__getitem__,
            horizontal=True,
            on_change=self._on_change,
        )

    def _millimetres(self, name: str) -> None:
        st.number_input(
            LABELS[name],
            min_value=0.0,
            max_value=MAX_LENGTH_MM,
            value=None,
            step=1.0,
            format="%.1f",
            key=field_key(self._prefix, name),
            on_change=self._on_change,
        )

    def _text(self, name: str) -> None:
        key = field_key(self._prefix, name)
        st.text_input(LABELS[name], key=key, on_change=self._on_change)


def _by_label(book: Mapping[_Key, Any]) -> list[tuple[_Key, Any]]:
    """Return entries by label, with "cannot tell" at the end."""
    return sorted(
        book.items(), key=lambda item: (item[0].startswith("unidentified"), item[1].label)
    )


def _zones(component: Component | None) -> list[ZoneId]:
    """Return all zones, those first in which the chosen part is found."""
    likely = component.zones if component else ()
    return sorted(rulebook().zones, key=lambda zone: zone not in likely)


_WORDS: dict[str, Callable[[Any], str | None]] = {
    "component": component_label,
    "damage": damage_label,
    "zone": zone_label,
    "side": words.SIDE_WORDS.__getitem__,
    "hv_conductor_visible": words.ANSWERS.__getitem__,
    "hangs_free": words.ANSWERS.__getitem__,
    "covers_off": words.ANSWERS.__getitem__,
    "sources": lambda sources: ", ".join(mark_text.SIZES_FROM_PHOTO[each.size] for each in sources),
}
