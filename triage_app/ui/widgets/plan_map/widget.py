"""The map as a component: what the browser is given, and what it sends back is checked here."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import streamlit as st
from streamlit.components.v2.types import ComponentRenderer

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import FindingId
from triage_app.domain.impact_line import ImpactLine, Place
from triage_app.imaging.underside.shapes import HEIGHT, WIDTH
from triage_app.ui import map_text, state
from triage_app.ui.widgets.notices import refusals_kept

Ends = tuple[Place, Place]


@dataclass(frozen=True, slots=True, kw_only=True)
class MapTag:
    """A finding where its tag stands, in fractions of the drawing; ``name`` is read aloud."""

    finding_id: FindingId
    name: str
    x_frac: float
    y_frac: float


def plan_map(
    *,
    key: str,
    svg: str,
    tags_svg: str,
    tags: Sequence[MapTag],
    chosen: FindingId | None,
    line: ImpactLine | None,
    may_draw: bool,
    on_choose: Callable[[FindingId], None],
    on_line: Callable[[Ends | None], None],
) -> None:
    """Show the map; a tap on a tag or a drawn line is handed on before the page runs again."""
    known = {tag.finding_id for tag in tags}

    def was_chosen() -> None:
        value = state.component_value(key, "chosen")
        if isinstance(value, str) and value in known:
            on_choose(FindingId(value))

    def was_drawn() -> None:
        with refusals_kept():
            on_line(parsed_line(state.component_value(key, "line")))

    data = {
        "svg": svg,
        "tags_svg": tags_svg,
        "width": WIDTH,
        "height": HEIGHT,
        "tags": [
            {"finding": tag.finding_id, "name": tag.name, "x": tag.x_frac, "y": tag.y_frac}
            for tag in tags
        ],
        "chosen": chosen,
        "line": line and [line.start, line.end],
        "may": may_draw,
        "words": map_text.FOR_THE_MAP,
    }
    _component()(
        key=key,
        data=data,
        on_chosen_change=was_chosen,
        on_line_change=was_drawn,
        height="content",
    )


def parsed_line(value: object) -> Ends | None:
    """Return the two ends that the browser sent, None for "off"; InvalidInputError otherwise."""
    if isinstance(value, Mapping) and value.get("off") is True:
        return None
    if not isinstance(value, Mapping):
        raise InvalidInputError(map_text.UNREADABLE)
    return _place(value.get("start")), _place(value.get("end"))


def _place(value: object) -> Place:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise InvalidInputError(map_text.UNREADABLE)
    x_frac, y_frac = value
    if not all(
        isinstance(one, int | float) and not isinstance(one, bool) for one in (x_frac, y_frac)
    ):
        raise InvalidInputError(map_text.UNREADABLE)
    return float(x_frac), float(y_frac)


@cache
def _component() -> ComponentRenderer:
    assets = files("triage_app.ui").joinpath("assets")
    # The line break tells Streamlit that these are contents and not file names.
    return st.components.v2.component(
        "underbody_plan_map",
        css=assets.joinpath("plan_map.css").read_text(encoding="utf-8") + "\n",
        js=assets.joinpath("plan_map.js").read_text(encoding="utf-8") + "\n",
    )
