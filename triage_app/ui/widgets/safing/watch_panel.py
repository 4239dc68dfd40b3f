"""The temperature watch: plot, what it did, when the next reading is due, and a form."""

from base64 import b64encode

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import (
    Keeping,
    SafingInstrument,
    TemperatureReading,
    WatchSign,
)
from triage_app.domain.safing.watch import Watch
from triage_app.imaging.temperature_plot import temperature_plot
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import form_name, store_entry
from triage_app.ui.wiring import services


def watch_panel(case: Case) -> None:
    watch = services().safing.watch(case)
    st.markdown(words.WATCH_INTRO)
    if watch.next_due is None or not services().safing.is_overdue(watch):
        st.markdown(f"**{words.next_due(watch.next_due, is_overdue=False)}**")
    if watch.readings:
        _shown(watch)
    else:
        st.markdown(words.WATCH_NONE)
    _form(case, watch)


def overdue_reading(case: Case) -> None:
    """Say, whichever tab is open, that a temperature is overdue."""
    watch = services().safing.watch(case)
    if watch.next_due is not None and services().safing.is_overdue(watch):
        st.warning(words.next_due(watch.next_due, is_overdue=True))


def _shown(watch: Watch) -> None:
    data = b64encode(temperature_plot(watch, width_px=1200, height_px=420)).decode("ascii")
    st.html(f'<img class="ub-plot" alt="{words.PLOT_ALT}" src="data:image/png;base64,{data}">')
    for trend in watch.places:
        line = words.trend_line(trend)
        if trend.is_rising:
            st.warning(line)
        else:
            st.markdown(line)
    for sign, at in watch.signs:
        st.error(words.sign_line(sign, at))
    if watch.kept in (Keeping.DISTANCE, Keeping.BARRIER):
        st.markdown(words.kept_line(watch.kept))
    else:
        st.warning(words.kept_line(watch.kept))


def _form(case: Case, watch: Watch) -> None:
    form = form_name(case, "watch")
    last = watch.readings[-1] if watch.readings else None
    with st.form(form, border=True, enter_to_submit=False):
        left, middle, right = st.columns(3)
        with left:
            place = st.text_input(words.PLACE, last.place if last else "", key=f"{form}-place")
            value = st.number_input(words.VALUE_C, -60.0, 1000.0, value=None, key=f"{form}-value")
        with middle:
            name = st.text_input(
                words.INSTRUMENT, last.instrument.name if last else "", key=f"{form}-meter"
            )
            serial = st.text_input(
                words.SERIAL, last.instrument.serial if last else "", key=f"{form}-serial"
            )
        with right:
            ambient = st.number_input(
                words.AMBIENT_C, -60.0, 100.0, value=None, key=f"{form}-ambient"
            )
        ways: list[Keeping] = list(Keeping)
        kept = st.radio(
            words.KEPT,
            ways,
            index=ways.index(watch.kept),
            horizontal=True,
            format_func=words.KEEPING.__getitem__,
            key=f"{form}-kept",
        )
        signs = _signs(form)
        wanted = st.form_submit_button(words.RECORD_TEMPERATURE, type="primary", width="stretch")
    if not wanted:
        return
    if value is None:
        st.error(words.NOT_A_VALUE)
        return
    with saying_refusals():
        reading = TemperatureReading(
            place=place,
            value_c=value,
            ambient_c=ambient,
            instrument=SafingInstrument(name=name, serial=serial),
            signs=signs,
            kept=kept,
        )
        store_entry(case, reading)


def _signs(form: str) -> tuple[WatchSign, ...]:
    st.markdown(f"**{words.SIGNS_NOTICED}**")
    with st.container(horizontal=True):
        ticked = {
            sign: st.checkbox(label, key=f"{form}-{sign.name}")
            for sign, label in words.SIGNS.items()
        }
    return tuple(sign for sign, is_there in ticked.items() if is_there)
