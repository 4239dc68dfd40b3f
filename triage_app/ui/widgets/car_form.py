"""What is known of the car. Saved as a whole; an empty field is "not known"."""

import streamlit as st

from rules import Powertrain
from triage_app.domain.case import Case
from triage_app.domain.permissions import Action, may
from triage_app.domain.vehicle import Vehicle
from triage_app.ui import state, text
from triage_app.ui.widgets.notices import changed_meanwhile, store_form
from triage_app.ui.wiring import operator, services


def car_form(case: Case) -> None:
    """Show the fields as stored; on a tap on the button, save them."""
    form = f"car-{case.id}"
    base = state.first_shown(form, case.vehicle)
    changed_meanwhile(form, is_stale=base != case.vehicle)
    with st.form(form, border=False, enter_to_submit=False):
        entered = _fields(base)
        is_reviewer = may(operator().roles, Action.REVIEW_FINDING)
        why = st.text_input(text.CAR_WHY) if is_reviewer else ""
        wanted = st.form_submit_button(text.SAVE_CAR, type="primary")
    if wanted:
        store_form(form, lambda: _store(case, base, entered, why), done=text.CAR_SAVED)


def _fields(car: Vehicle) -> dict[str, object]:
    left, right = st.columns(2)
    with left:
        entered: dict[str, object] = {
            "description": st.text_input(text.VEHICLE_DESCRIPTION, car.description),
            "plate": st.text_input(text.PLATE, car.plate),
            "vin": st.text_input(text.VIN, car.vin or "", placeholder=text.VIN_HINT) or None,
            "odometer_km": _number(text.ODOMETER, car.odometer_km, step=1.0),
        }
    with right:
        entered["powertrain"] = st.selectbox(
            text.POWERTRAIN,
            list(Powertrain),
            index=list(Powertrain).index(car.powertrain),
            format_func=lambda kind: kind.value,
        )
        entered["system_voltage_v"] = _number(text.SYSTEM_VOLTAGE, car.system_voltage_v, step=1.0)
        st.caption(text.SYSTEM_VOLTAGE_HINT)
        entered["battery_energy_kwh"] = _number(text.BATTERY_ENERGY, car.battery_energy_kwh)
        entered["battery_chemistry"] = st.text_input(text.CHEMISTRY, car.battery_chemistry)
        entered["charge_on_arrival_percent"] = _number(text.CHARGE, car.charge_on_arrival_percent)
    return entered


def _number(label: str, value: float | None, *, step: float = 0.1) -> float | None:
    shown = "%.0f" if step == 1.0 else "%.1f"
    return st.number_input(label, value=value, step=step, format=shown)


def _store(case: Case, base: Vehicle, entered: dict[str, object], why: str) -> None:
    vehicle = Vehicle(**entered)  # type: ignore[arg-type]  # the fields above give these types
    services().intake.describe_vehicle(case.id, vehicle, by=operator(), base=base, reason=why)
