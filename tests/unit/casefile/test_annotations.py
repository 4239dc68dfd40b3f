"""Marks as Web Annotations: the W3C model's "MUST" for what we write, and nothing private.

Source: W3C Recommendation "Web Annotation Data Model" (23 February 2017), sections 3 to 5, from
memory; RFC 6920 section 3 for names by hash, with its own example as the check.
"""

import base64
import hashlib
import json
from dataclasses import replace
from typing import Any

from lxml import etree

from tests.builders import a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.casefile.annotations import CONTEXT, annotations, named_by
from triage_app.domain.case import Case
from triage_app.domain.geometry import Ellipse, Point, Rings, RingShape
from triage_app.domain.ids import Sha256

SVG = "{http://www.w3.org/2000/svg}"


def written(case: Case) -> Any:  # Any: JSON-LD is free-form
    words = {finding.id: ("Finding 1", "HV cable <2>") for finding in case.open_findings}
    return json.loads(json.dumps(annotations(case, words)))


def one_marked(outline: Rings | Ellipse) -> Case:
    photo = a_photo(width_px=800, height_px=400)
    mark = a_mark(photo=photo, outline=outline)
    finding = a_finding(marks=(mark,), tags=some_tags(note='Bare <b> & "cut"'))
    return a_case(finding, photos=(photo,))


SQUARE_WITH_A_HOLE = Rings(
    shape=RingShape.POLYGON,
    rings=(
        (Point(0.1, 0.1), Point(0.5, 0.1), Point(0.5, 0.9), Point(0.1, 0.9)),
        (Point(0.2, 0.3), Point(0.4, 0.3), Point(0.4, 0.7), Point(0.2, 0.7)),
    ),
)


def test_a_collection_holds_one_annotation_for_each_mark() -> None:
    made = written(one_marked(SQUARE_WITH_A_HOLE))
    assert made["@context"] == CONTEXT == "http://www.w3.org/ns/anno.jsonld"
    assert made["type"] == "AnnotationCollection"
    (item,) = made["first"]["items"]
    assert made["total"] == 1
    assert item["type"] == "Annotation"
    assert item["id"].startswith("urn:uuid:")
    assert item["created"] == "2031-05-04T12:00:00Z"
    assert [body["value"] for body in item["body"]] == [
        "Finding 1",
        "HV cable <2>",
        'Bare <b> & "cut"',
    ]
    assert {body["purpose"] for body in item["body"]} == {"tagging", "describing"}


def test_rings_become_one_path_with_a_hole_in_pixels_of_the_upright_photo() -> None:
    (item,) = written(one_marked(SQUARE_WITH_A_HOLE))["first"]["items"]
    selector = item["target"]["selector"]
    svg = etree.fromstring(selector["value"])
    assert selector["type"] == "SvgSelector"
    assert svg.tag == f"{SVG}svg"
    assert svg.get("viewBox") == "0 0 800 400"
    path = svg.find(f"{SVG}path")
    assert path is not None
    assert path.get("fill-rule") == "evenodd"
    assert (path.get("d") or "").startswith("M80.00,40.00L400.00,40.00L400.00,360.00")
    assert (path.get("d") or "").count("M") == (path.get("d") or "").count("Z") == 2


def test_a_photo_goes_by_its_hash_and_never_by_name_or_camera() -> None:
    case = one_marked(Ellipse(centre=Point(0.5, 0.5), radius_x_px=40, radius_y_px=20))
    camera = tuple(replace(photo, camera="Demo phone 5") for photo in case.photos)
    text = json.dumps(written(replace(case, photos=camera)))
    source = written(case)["first"]["items"][0]["target"]["source"]
    assert source["id"] == named_by(case.photos[0].sha256)
    assert source["format"] == "image/jpeg"
    assert case.photos[0].file_name not in text
    assert "Demo phone" not in text


def test_a_name_by_hash_is_that_of_rfc_6920() -> None:
    # RFC 6920, section 8.1: the SHA-256 of "Hello World!".
    digest = hashlib.sha256(b"Hello World!").hexdigest()
    assert named_by(Sha256(digest)) == "ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk"
    assert base64.urlsafe_b64decode("f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk=").hex() == digest


def test_the_same_mark_has_the_same_name_and_a_reshaped_one_another() -> None:
    case = one_marked(SQUARE_WITH_A_HOLE)
    (finding,) = case.findings
    reshaped = replace(
        case,
        findings=(replace(finding, marks=(replace(finding.marks[0], revision=2),)),),
    )
    first, again, other = (
        written(one)["first"]["items"][0]["id"] for one in (case, case, reshaped)
    )
    assert first == again != other


def test_a_case_without_marks_is_an_empty_collection() -> None:
    made = written(a_case(photos=()))
    assert made["total"] == 0
    assert made["first"]["items"] == []
