"""The strip as a page uses it: a small component, so that a tap does not reload the page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import streamlit as st
from streamlit.components.v2.types import ComponentRenderer

from triage_app.domain.ids import PhotoId
from triage_app.ui import state


@dataclass(frozen=True, slots=True, kw_only=True)
class StripPhoto:
    """``label`` is shown under the picture, ``title`` is read aloud."""

    photo_id: PhotoId
    url: str
    label: str
    title: str


def photo_strip(
    *,
    key: str,
    photos: Sequence[StripPhoto],
    current: PhotoId,
    on_choose: Callable[[PhotoId], None],
) -> None:
    """Show the photos side by side; a tap calls ``on_choose`` before the page runs again.

    Only an id that is among ``photos`` is handed on, whatever the browser sends.
    """
    known = {photo.photo_id for photo in photos}

    def chosen() -> None:
        value = state.component_value(key, "chosen")
        if isinstance(value, str) and value in known:
            on_choose(PhotoId(value))

    data = {
        "current": current,
        "photos": [
            {"id": one.photo_id, "url": one.url, "label": one.label, "title": one.title}
            for one in photos
        ],
    }
    _component()(key=key, data=data, on_chosen_change=chosen, height="content")


@cache
def _component() -> ComponentRenderer:
    assets = files("triage_app.ui").joinpath("assets")
    # The line break tells Streamlit that these are contents and not file names.
    return st.components.v2.component(
        "underbody_photo_strip",
        css=assets.joinpath("photo_strip.css").read_text(encoding="utf-8") + "\n",
        js=assets.joinpath("photo_strip.js").read_text(encoding="utf-8") + "\n",
    )
