"""One tab of a signed-in person, on a shop in memory."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from importlib.resources import files
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from rules import ZoneId
from tests.builders import ESTIMATOR, FAR_FROM_HV, a_jpeg, some_tags
from tests.people import ALL_ROLES, signed_in
from tests.unit.services.shop import a_shop
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.permissions import Role
from triage_app.services import Services
from triage_app.services.reporting import LoadPhoto, Progress, ReportInput
from triage_app.ui import wiring
from triage_app.ui.navigation import Place

OpenPage = Callable[..., AppTest]
WORD_BYTES = b"PK\x03\x04 stands for a Word file"


def render(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
    """Stand for the report writer: load every photo, say how far it is."""
    photos = material.case.photos
    for done, photo in enumerate(photos, start=1):
        load_photo(photo.sha256)
        progress(done, len(photos))
    return WORD_BYTES + str(material.case.revision).encode()


class Door:
    """Who is signed in; a test can change it between two runs of a page."""

    def __init__(self, services: Services) -> None:
        self._services = services
        self.token: str | None = None

    def sign_in(self, name: str = ESTIMATOR.name, roles: Iterable[Role] = ALL_ROLES) -> None:
        """Sign this person in; who has no account yet gets one, in every role unless told."""
        self.token = signed_in(self._services, name, roles)

    def sign_out(self) -> None:
        self._services.sign_in.sign_out(self.token)


@pytest.fixture
def shop() -> Services:
    return a_shop()


@pytest.fixture
def door(shop: Services) -> Iterator[Door]:
    door = Door(shop)
    door.sign_in()
    wiring.install(wiring.Wiring(services=shop, render_report=render, token=lambda: door.token))
    yield door
    wiring.uninstall()


@pytest.fixture
def open_page(door: Door) -> OpenPage:
    """Return a way to open a page in a new tab, as by its address."""
    assert door.token

    def open_one(
        place: Place = Place.CASES,
        case: Case | None = None,
        address: Mapping[str, str] | None = None,
    ) -> AppTest:
        script = files("triage_app.ui").joinpath("entry", "script.py")
        tab = AppTest.from_file(str(script), default_timeout=30)
        if case is not None:
            tab.query_params["case"] = case.id
        for name, value in (address or {}).items():
            tab.query_params[name] = value
        return go_to(tab, place)

    return open_one


def go_to(tab: AppTest, place: Place) -> AppTest:
    """Run a page of ours; AppTest itself can only switch between files."""
    tab._page_hash = calc_hash("" if place is Place.CASES else place.value)
    tab.run()
    assert not tab.exception, tab.exception
    return tab


def said(tab: AppTest) -> str:
    """Return everything that a page says, HTML included, to look for sentences in it."""
    kinds = (
        *(tab.error, tab.warning, tab.success, tab.info),
        *(tab.title, tab.header, tab.subheader, tab.markdown, tab.caption, tab.text),
    )
    parts = [str(element.value) for kind in kinds for element in kind]
    html = [str(element.proto.body) for element in tab.get("html")]
    return "\n".join([*parts, *(body for body in html if not body.startswith("<style>"))])


def press(tab: AppTest, label: str, *, at: int = 0) -> AppTest:
    """Press the button with this label (the first one, if several) and run the page."""
    found = [button for button in tab.button if button.label == label]
    assert found, f"no button '{label}' among {[button.label for button in tab.button]}"
    assert not found[at].disabled, f"button '{label}' is disabled"
    found[at].click().run()
    assert not tab.exception, tab.exception
    return tab


def entry(fields: Iterable[Any], label: str) -> Any:
    """Return the one field with this label; AppTest's own elements have no common type."""
    [found] = [one for one in fields if one.label == label]
    return found


def has_button(tab: AppTest, label: str) -> bool:
    return any(button.label == label and not button.disabled for button in tab.button)


@pytest.fixture
def empty_case(shop: Services) -> Case:
    return shop.intake.open_case(by=ESTIMATOR, reference="R-1")


@pytest.fixture
def case(shop: Services, empty_case: Case) -> Case:
    """Return a case with two photos and no finding."""
    for seed in (1, 2):
        shop.intake.add_photo(
            empty_case.id, a_jpeg(900, 600, seed=seed), file_name=f"under-{seed}.jpg", by=ESTIMATOR
        )
    return shop.cases.get(empty_case.id)


@pytest.fixture
def flagged(shop: Services, case: Case) -> Case:
    """Return a case with a severed HV cable on its first photo and a scrape on its second."""
    cable, scrape = some_tags("hv_cable", "severed"), some_tags("wheel_arch_liner", "scrape")
    for number, (photo, tags) in enumerate(zip(case.photos, (cable, scrape), strict=True), 1):
        shop.marking.mark(
            case.id,
            photo.id,
            rectangle(0.2, 0.2, 0.5, 0.5),
            by=ESTIMATOR,
            finding_id=FindingId(f"F{number}"),
            mark_id=MarkId(f"M{number}"),
            tags=tags,
        )
    return shop.cases.get(case.id)


@pytest.fixture
def withdrawable(shop: Services, flagged: Case) -> Case:
    """Return the flagged case with its scrape measured far from HV, so that it may go."""
    scrape = flagged.findings[1]
    tags = replace(scrape.tags, zone=ZoneId("rear_end"), measures=FAR_FROM_HV)
    return shop.marking.tag(flagged.id, scrape.id, tags, expected_revision=1, by=ESTIMATOR)
