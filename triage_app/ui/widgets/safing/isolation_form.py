"""Isolation of an island: the readings of one method, and the calculation with its numbers."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.isolation import (
    CurrentSystem,
    IsolationMeasurement,
    IsolationMethod,
    TwoVoltages,
)
from triage_app.domain.safing.islands import IslandIsolation
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import form_name, store_entry
from triage_app.ui.wiring import services


def isolation_panel(case: Case) -> None:
    st.markdown(words.ISOLATION_INTRO)
    islands = services().safing.isolation(case)
    st.html(_islands(islands))
    for entry in case.safing:
        if isinstance(entry.what, IsolationMeasurement):
            by = f"{entry.recorded.by}, {words.moment(entry.done_at)}"
            st.html(_measured(entry.what, by))
    methods: list[IsolationMethod] = list(IsolationMethod)
    method = st.radio(words.METHOD, methods, index=0, horizontal=True, key=f"safe-method-{case.id}")
    if method is IsolationMethod.TWO_VOLTAGES:
        st.markdown(words.TWO_VOLTAGES_HINT)
    _form(case, method, islands)


def _islands(islands: tuple[IslandIsolation, ...]) -> str:
    heads = "".join(f"<th>{escape(head)}</th>" for head in words.ISLAND_COLUMNS)
    rows = "".join(
        f"<tr><td>{escape(one.island)}</td><td>{_stands(one)}</td></tr>" for one in islands
    )
    return f'<table class="ub-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _stands(one: IslandIsolation) -> str:
    said = escape(one.said)
    return f"<b>{said}</b>" if one.is_outstanding else said


def _measured(measured: IsolationMeasurement, by: str) -> str:
    cited = measured.system.reference.cited
    lines = "".join(f"<li>{escape(line)}</li>" for line in measured.calculation)
    return (
        f'<section class="ub-answer"><h4>{escape(measured.island)}: '
        f"{escape(str(measured.verdict))}</h4>"
        f"<p>{escape(cited[0].upper() + cited[1:])}. {escape(by)}; "
        f"{escape(measured.instrument)}; "
        f'{escape(measured.procedure)}</p><ul class="ub-list">{lines}</ul></section>'
    )


def _form(case: Case, method: IsolationMethod, islands: tuple[IslandIsolation, ...]) -> None:
    form = form_name(case, f"isolation-{method.name}")
    with st.form(form, border=True, enter_to_submit=False):
        island = st.selectbox(words.ISLAND, [one.island for one in islands], key=f"{form}-island")
        left, right = st.columns(2)
        with left:
            working_v = _number(words.WORKING_V, form, case.vehicle.system_voltage_v)
            instrument = st.text_input(words.INSTRUMENT, key=f"{form}-instrument")
        with right:
            systems: list[CurrentSystem] = list(CurrentSystem)
            system = st.selectbox(
                words.SYSTEM,
                systems,
                index=systems.index(CurrentSystem.UNKNOWN),
                key=f"{form}-system",
            )
            procedure = st.text_input(words.PROCEDURE, key=f"{form}-procedure")
        labels = (
            (words.VB, words.V1, words.V2, words.RESISTOR, words.V_PRIME)
            if method is IsolationMethod.TWO_VOLTAGES
            else (words.POSITIVE_OHM, words.NEGATIVE_OHM, words.TEST_V)
        )
        given = []
        columns = st.columns(3)
        for number, label in enumerate(labels):
            with columns[number % 3]:
                given.append(_number(label, form, None))
        wanted = st.form_submit_button(words.RECORD_ISOLATION, type="primary", width="stretch")
    if not wanted:
        return
    read = [value for value in (working_v, *given) if value is not None]
    if len(read) != len(given) + 1:
        st.error(words.NOT_A_VALUE)
        return
    with saying_refusals():
        two = tester = None
        if method is IsolationMethod.TWO_VOLTAGES:
            vb, v1, v2, resistor, prime = read[1:]
            two = TwoVoltages(vb=vb, v1=v1, v2=v2, resistor_ohm=resistor, v_prime=prime)
        else:
            tester = read[1:]
        measured = IsolationMeasurement(
            island=island,
            working_v=read[0],
            system=system,
            two_voltages=two,
            positive_ohm=tester[0] if tester else None,
            negative_ohm=tester[1] if tester else None,
            test_v=tester[2] if tester else None,
            instrument=instrument,
            procedure=procedure,
        )
        store_entry(case, measured)


def _number(label: str, form: str, first: float | None) -> float | None:
    return st.number_input(label, 0.0, 1e12, value=first, key=f"{form}-{label}", format="%g")
