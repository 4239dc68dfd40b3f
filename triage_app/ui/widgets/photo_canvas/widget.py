"""The marking canvas as a page uses it."""

from collections.abc import Callable, Sequence

import streamlit as st

from triage_app.domain.ids import MarkId
from triage_app.imaging.mark_style import MARK_STYLES
from triage_app.ui.widgets.photo_canvas.component import canvas_component, code_component
from triage_app.ui.widgets.photo_canvas.exchange import Exchange
from triage_app.ui.widgets.photo_canvas.gestures import Gesture
from triage_app.ui.widgets.photo_canvas.model import (
    CanvasArea,
    CanvasMark,
    CanvasPhoto,
    SameDamage,
    Seen,
)
from triage_app.ui.widgets.photo_canvas.outlines import outline_data


def photo_canvas(
    *,
    key: str,
    photo: CanvasPhoto,
    marks: Sequence[CanvasMark],
    selected: MarkId | None,
    on_gesture: Callable[[Gesture], None],
    areas: Sequence[CanvasArea] = (),
    same_damage: SameDamage | None = None,
    can_undo: bool = False,
    can_redo: bool = False,
    seen: Seen | None = None,
) -> MarkId | None:
    """Show a photo with its marks and hand each finished gesture to ``on_gesture``.

    ``key`` names case, photo *and* operator: the browser keeps what is not yet stored under it,
    so it must never be shared by two people. ``marks`` are the store's, freshly read.

    ``on_gesture`` is called once per gesture, in order, before the script runs again, and
    performs it by one service call; a repeat (same mark id) must be harmless. A TriageError that
    it raises is shown on the canvas: the gesture is then dropped, except for a StorageError or
    NotAllowedError, where the browser keeps the gesture and all after it and tries again.

    The page keeps the selection (from Select, Draw and Delete gestures); ``selected`` is shown.
    With ``seen`` the browser looks every two seconds whether somebody else changed the case, and
    then has the page run again. Returns ``selected`` if that mark is among ``marks``, else None.
    """
    exchange = _exchange(key)
    # Streamlit joins parts of its own to a key by "__" and refuses a key that has it.
    mounted_as = key.replace("_", "_-")

    def take() -> None:
        exchange.take(st.session_state[mounted_as].get("sent"), photo.size, on_gesture)

    chosen = selected if any(mark.mark_id == selected for mark in marks) else None
    data = {
        "scope": key,
        **_exchange_data(exchange),
        "photo": _photo_data(photo),
        "marks": [_mark_data(mark) for mark in marks],
        "areas": [_area_data(area) for area in areas],
        "selected": chosen,
        "joins": same_damage and _same_damage_data(same_damage),
        "can_undo": can_undo,
        "can_redo": can_redo,
        "styles": _STYLES,
        "revision": seen and seen.revision,
        "watch": seen and seen.url,
    }
    with st.container(gap=None):
        code_component()(key=f"{mounted_as}:code")
        canvas_component()(key=mounted_as, data=data, on_sent_change=take, on_look_change=_look)
    return chosen


def _look() -> None:
    """Run the page again, now that somebody else has changed the case."""


def _exchange(key: str) -> Exchange:
    name = f"{key}:exchange"
    if name not in st.session_state:
        st.session_state[name] = Exchange()
    exchange = st.session_state[name]
    if not isinstance(exchange, Exchange):
        raise TypeError(f"session state {name!r} is taken")
    return exchange


def _exchange_data(exchange: Exchange) -> dict[str, object]:
    return {
        "session": exchange.session,
        "ack": exchange.seen,
        "answers": [{"seq": one.seq, "sentence": one.sentence} for one in exchange.refused],
        "held": exchange.held,
    }


def _same_damage_data(same_damage: SameDamage) -> dict[str, object]:
    return {"finding": same_damage.finding_id, "number": same_damage.number}


def _photo_data(photo: CanvasPhoto) -> dict[str, object]:
    return {
        "id": photo.photo_id,
        "width": photo.width_px,
        "height": photo.height_px,
        "preview": photo.preview_url,
        "full": photo.full_url,
        "edges": photo.edges_url,
        "title": photo.title,
    }


def _mark_data(mark: CanvasMark) -> dict[str, object]:
    return {
        "id": mark.mark_id,
        "number": mark.number,
        "label": mark.label,
        "outline": outline_data(mark.outline),
        "revision": mark.revision,
        "risk": mark.risk.name,
        "hv": mark.hv,
    }


def _area_data(area: CanvasArea) -> dict[str, object]:
    return {
        "label": area.label,
        "outline": outline_data(area.outline),
        "settled": area.is_settled,
    }


_STYLES = {
    risk.name: {
        "word": style.word,
        "colour": style.colour,
        "ink": style.ink,
        "dash": list(style.dash),
        "pattern": style.pattern,
    }
    for risk, style in MARK_STYLES.items()
}
