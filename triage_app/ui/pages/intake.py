"""Signs, photos, incident and car of one case."""

import streamlit as st

from triage_app.ui import gate_text, navigation, text
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.car_form import car_form
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.clock_form import clock_form
from triage_app.ui.widgets.incident_form import incident_form
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.photo_grid import photo_grid
from triage_app.ui.widgets.photo_upload import photo_upload


def show() -> None:
    case = open_case().case
    show_notices()
    st.title(text.PAGE_INTAKE, anchor=False)
    if case.photos:
        next_step(text.INTAKE_NEXT_MARK, go_to=Place.MARK)
    else:
        next_step(text.INTAKE_NEXT_PHOTOS)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(gate_text.GO_TO_GATE, width="content")
        st.page_link(navigation.page(Place.GATE))
    st.header(text.PHOTOS, anchor=False)
    photo_upload(case)
    photo_grid(case)
    clock_form(case)
    st.header(text.WRITTEN_DOWN, anchor=False)
    if case.vehicle.vin_check_digit_differs:
        st.warning(text.VIN_DIFFERS)
    with st.expander(text.CAR):
        car_form(case)
    with st.expander(text.INCIDENT):
        incident_form(case)
