"""What the shop has set for itself: everybody may read it, an administrator changes it."""

import streamlit as st

from triage_app.domain.permissions import Action, may
from triage_app.domain.shop_settings import (
    LONGEST_IDLE_MINUTES,
    LONGEST_PASSWORD_LENGTH,
    LONGEST_SESSION_HOURS,
    SHORTEST_PASSWORD_LENGTH,
    ShopSettings,
)
from triage_app.ui import people_text as text
from triage_app.ui.markdown import as_typed
from triage_app.ui.names import shown_time
from triage_app.ui.widgets.notices import next_step, show_notices, store_form
from triage_app.ui.wiring import operator, services


def show() -> None:
    st.title(text.PAGE_SETTINGS, anchor=False)
    show_notices()
    next_step(text.SETTINGS_NEXT)
    settings = services().shop_settings.now()
    is_fixed = not may(operator().roles, Action.CHANGE_SETTINGS)
    with st.form("shop-settings", border=False, enter_to_submit=False):
        entered = _fields(settings, is_fixed=is_fixed)
        wanted = st.form_submit_button(text.SAVE_SETTINGS, type="primary", disabled=is_fixed)
    if settings.changed is not None:
        line = text.changed_by(settings.changed.by, shown_time(settings.changed.at))
        st.caption(as_typed(line))
    if wanted:
        store_form(
            "shop-settings",
            lambda: services().shop_settings.change(
                ShopSettings(**entered),  # type: ignore[arg-type]  # each by its own field
                by=operator(),
            ),
            done=text.SETTINGS_SAVED,
        )


def _fields(settings: ShopSettings, *, is_fixed: bool) -> dict[str, object]:
    second = st.checkbox(text.SECOND_PERSON, settings.second_person_clears, disabled=is_fixed)
    numbers = {
        "idle_minutes": (text.IDLE_MINUTES, 1, LONGEST_IDLE_MINUTES, None),
        "session_hours": (text.SESSION_HOURS, 1, LONGEST_SESSION_HOURS, None),
        "password_min_length": (
            text.PASSWORD_LENGTH,
            SHORTEST_PASSWORD_LENGTH,
            LONGEST_PASSWORD_LENGTH,
            text.PASSWORD_LENGTH_HINT,
        ),
    }
    entered: dict[str, object] = {"second_person_clears": second}
    for name, (label, least, most, hint) in numbers.items():
        entered[name] = st.number_input(
            label, least, most, getattr(settings, name), step=1, disabled=is_fixed
        )
        if hint:
            st.caption(hint)
    return entered
