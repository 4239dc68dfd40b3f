"""Signs, photos, car and incident of a case."""

import io
from dataclasses import replace
from decimal import Decimal

import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from rules import Powertrain
from tests.builders import a_jpeg, an_estimator
from tests.ui.conftest import OpenPage, entry, press, said
from triage_app.domain.case import Case
from triage_app.domain.vehicle import Answer, Vehicle
from triage_app.services import Services
from triage_app.ui.navigation import Place

# All ones is the textbook example of a VIN whose ninth character is its check digit.
FITTING_VIN = "11111111111111111"
OTHER_VIN = "11111111211111111"


def upload(tab: AppTest, *files: tuple[str, bytes]) -> AppTest:
    tab.file_uploader[0].set_value([(name, data, "") for name, data in files]).run()
    assert not tab.exception, tab.exception
    return tab


def test_each_file_of_an_upload_gets_its_own_answer(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    photo = a_jpeg(900, 600)
    tab = upload(
        open_page(Place.INTAKE, empty_case),
        ("one.jpg", photo),
        ("again.jpg", photo),
        ("notes.jpg", b"these are no pixels"),
        ("empty.heic", b""),
    )
    page = said(tab)
    assert "1 accepted, 1 already here, 2 refused" in page
    assert "<b>Accepted</b> one.jpg" in page
    assert "<b>Already in this case</b> again.jpg" in page
    assert "<b>Refused</b> notes.jpg" in page
    assert len(shop.cases.get(empty_case.id).photos) == 1


def test_a_hostile_file_name_is_shown_as_text_and_leads_nowhere(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = upload(open_page(Place.INTAKE, empty_case), ("../../<i>x.jpg", a_jpeg(900, 600)))
    assert shop.cases.get(empty_case.id).photos[0].file_name == "<i>x.jpg"
    assert "&lt;i&gt;x.jpg" in said(tab)
    assert "<i>" not in said(tab)


def test_photos_are_shown_by_our_own_checked_address(open_page: OpenPage, case: Case) -> None:
    page = said(open_page(Place.INTAKE, case))
    for photo in case.photos:
        assert f'src="/pictures/{case.id}/{photo.id}?side=640"' in page
    assert "/media/" not in page


def test_a_photo_that_should_be_taken_again_says_so(open_page: OpenPage, empty_case: Case) -> None:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), (2, 2, 2)).save(out, "JPEG")
    tab = upload(open_page(Place.INTAKE, empty_case), ("dark.jpg", out.getvalue()))
    assert '<p class="ub-complaint">' in said(tab)


def test_two_people_in_the_car_form_both_keep_what_they_entered(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "Plate").set_value("AA 1")
    theirs = replace(empty_case.vehicle, odometer_km=12.0)
    shop.intake.describe_vehicle(empty_case.id, theirs, by=an_estimator("Sam Second"))
    press(tab, "Save the car")
    stored = shop.cases.get(empty_case.id).vehicle
    assert (stored.plate, stored.odometer_km) == ("AA 1", 12.0)


def test_a_clash_in_the_car_form_is_told_and_theirs_can_be_shown(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "Plate").set_value("AA 1")
    theirs = replace(empty_case.vehicle, plate="BB 2")
    shop.intake.describe_vehicle(empty_case.id, theirs, by=an_estimator("Sam Second"))
    press(tab, "Save the car")
    assert any("BB 2" in error.value and "AA 1" in error.value for error in tab.error)
    assert shop.cases.get(empty_case.id).vehicle.plate == "BB 2"
    press(tab, "Show what is stored now")
    assert entry(tab.text_input, "Plate").value == "BB 2"


def test_the_car_is_stored_as_entered(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "VIN").set_value(FITTING_VIN.lower())
    entry(tab.text_input, "Plate").set_value("AB 12")
    entry(tab.number_input, "Highest system voltage (V DC)").set_value(396.0)
    entry(tab.selectbox, "Kind of drive").set_value(Powertrain.BATTERY_ELECTRIC)
    press(tab, "Save the car")
    assert shop.cases.get(empty_case.id).vehicle == Vehicle(
        vin=FITTING_VIN,
        plate="AB 12",
        system_voltage_v=396.0,
        powertrain=Powertrain.BATTERY_ELECTRIC,
    )
    assert "check digit" not in said(tab)


def test_a_voltage_left_empty_stays_not_known(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    press(open_page(Place.INTAKE, empty_case), "Save the car")
    assert shop.cases.get(empty_case.id).vehicle.system_voltage_v is None


def test_a_vin_that_cannot_be_one_is_refused_and_the_entry_stays(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "VIN").set_value("IOQ")
    entry(tab.text_input, "Plate").set_value("AB 12")
    press(tab, "Save the car")
    assert [error.value for error in tab.error] == [
        "A VIN has 17 letters and digits, without I, O and Q."
    ]
    assert entry(tab.text_input, "VIN").value == "IOQ"
    assert shop.cases.get(empty_case.id).vehicle == Vehicle()


def test_a_vin_with_another_check_digit_is_stored_and_pointed_out(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "VIN").set_value(OTHER_VIN)
    press(tab, "Save the car")
    assert shop.cases.get(empty_case.id).vehicle.vin == OTHER_VIN
    assert "not the check digit" in said(tab)


def test_the_incident_is_stored_and_leaves_the_signs_alone(
    open_page: OpenPage, shop: Services, empty_case: Case
) -> None:
    shop.admission.answer(empty_case.id, "smoke", Answer.YES, by=an_estimator("Sam Second"))
    tab = open_page(Place.INTAKE, empty_case)
    tab.text_area[0].set_value("Hit a kerb.")
    entry(tab.text_input, "Value before the loss").set_value("23 800.50")
    press(tab, "Save the incident")
    incident = shop.cases.get(empty_case.id).incident
    assert (incident.what_happened, incident.pre_loss_value) == ("Hit a kerb.", Decimal("23800.50"))
    assert incident.smoke is Answer.YES


@pytest.mark.parametrize("entered", ["about 20000", "20.000,50", "-1", "NaN", "1e12"])
def test_a_value_that_is_no_amount_is_refused(
    open_page: OpenPage, shop: Services, empty_case: Case, entered: str
) -> None:
    tab = open_page(Place.INTAKE, empty_case)
    entry(tab.text_input, "Value before the loss").set_value(entered)
    press(tab, "Save the incident")
    assert len(tab.error) == 1
    assert shop.cases.get(empty_case.id).incident.pre_loss_value is None
