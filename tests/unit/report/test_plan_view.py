"""The plan view in the report: every finding is on it or is named as not on it."""

from dataclasses import replace
from io import BytesIO

import pytest
from PIL import Image, ImageChops

from rules import Side
from tests.builders import SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from tests.unit.report.material import a_rulebook, material, quiet
from triage_app.domain.case import Case, Finding
from triage_app.domain.impact_line import ImpactLine
from triage_app.domain.plan_view import PlanPin
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import Box, PlanPicture, Text, paragraphs_of, pictures_of
from triage_app.report.pictures import picture_files

LINE = ImpactLine(start_x_frac=0.2, start_y_frac=0, end_x_frac=0.3, end_y_frac=0.5, signed=SIGNED)


def _finding(number: int, zone: str | None, side: Side | None = None) -> Finding:
    tags = replace(some_tags("skid_plate", "scrape", zone=zone), side=side)
    return a_finding(number, tags=tags)


def _plans(case: Case) -> list[PlanPicture]:
    report = report_from(material(case), a_rulebook(), Layout())
    return [one for one in pictures_of(report.blocks) if isinstance(one, PlanPicture)]


def _said(case: Case) -> str:
    report = report_from(material(case), a_rulebook(), Layout())
    [box] = [one for one in report.blocks if isinstance(one, Box) and one.caption]
    return "\n".join(
        "".join(part.text for part in paragraph.texts if isinstance(part, Text))
        for paragraph in paragraphs_of(box)
    )


def test_every_finding_with_a_zone_is_on_the_plan_and_the_others_are_named() -> None:
    case = a_case(_finding(1, "battery_front"), _finding(2, None), _finding(3, "rear_left"))

    whole, *single = _plans(case)

    assert [tag.number for tag in whole.tags] == [1, 3]
    assert "Not on the plan, since nobody named a zone: 2." in _said(case)
    assert [(one.tags[0].number, one.emphasised) for one in single] == [
        (1, ("battery_front",)),
        (3, ("rear_left",)),
    ]


def test_a_pin_counts_only_where_it_lies_in_the_zone_of_the_finding() -> None:
    pin = PlanPin(x_frac=0.2, y_frac=0.4, signed=SIGNED)
    photo = replace(a_photo(1), plan_pin=pin)
    for zone, wanted in (("battery_front", (0.2, 0.4)), ("rear_left", (0.135, 0.785))):
        finding = replace(_finding(1, zone), marks=(a_mark(photo=photo),))
        tag = _plans(a_case(finding, photos=(photo,)))[0].tags[0]
        assert (tag.x_frac, tag.y_frac) == pytest.approx(wanted)


def test_the_line_of_travel_is_drawn_and_says_who_drew_it_and_what_lies_on_it() -> None:
    findings = (_finding(1, "front_left"), _finding(2, "rear_right"))
    without, case = a_case(*findings), replace(a_case(*findings), impact_line=LINE)

    assert "nobody drew along which line the object passed" in _said(without)
    assert "drawn by Erin Estimator, 4 May 2031, 12:00 UTC; on it: 1." in _said(case)
    assert "an arrow shows the line" in _plans(case)[0].alt
    with_line, plain = (
        Image.open(BytesIO(picture_files(_plans(one)[:1], _no_photo, quiet)[NAME].data))
        for one in (case, without)
    )
    difference = ImageChops.difference(with_line.convert("L"), plain.convert("L"))
    # Small differences are those of the two palettes.
    changed = difference.point([255 * (level > 60) for level in range(256)]).getbbox()
    assert changed is not None
    # The arrow lies between its two ends, and nothing else has changed.
    left, top, right, bottom = changed
    width, height = plain.size
    assert 0.15 < left / width < right / width < 0.36
    assert top == 0
    assert 0.48 < bottom / height < 0.52


NAME = "plan-of-the-underside"


def _no_photo(sha256: str) -> bytes:
    raise AssertionError(f"The plan needs no photo, and asked for {sha256}.")


def test_sixty_findings_fit_beside_the_plan_on_one_page() -> None:
    case = a_case(*(_finding(number, "front_centre") for number in range(1, 61)))

    said = _said(case)

    assert "Skid plate" not in said
    assert len(said) < 1_500
