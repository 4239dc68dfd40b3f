"""Which pictures show a finding, and how they share a line."""

import pytest

from tests.builders import a_case, a_finding, a_mark, a_photo
from tests.unit.report.material import a_rulebook, material
from triage_app.domain.case import Case
from triage_app.domain.geometry import rectangle
from triage_app.report import Layout
from triage_app.report.blocks import Numbering
from triage_app.report.figures import evenly, figures_of, in_one_line, whole_photo
from triage_app.report.model import Figure, PhotoPicture
from triage_app.report.subject import Subject

LANDSCAPE = a_photo(1, width_px=4000, height_px=3000)
PORTRAIT = a_photo(2, width_px=3000, height_px=4000)
PANORAMA = a_photo(3, width_px=9000, height_px=1500)
SMALL = rectangle(0.4, 0.4, 0.5, 0.5)


def _figures(case: Case, layout: Layout | None = None) -> list[Figure]:
    subject = Subject.of(material(case), a_rulebook(), layout or Layout())
    blocks = figures_of(subject, case.findings[0], Numbering())
    return [block for block in blocks if isinstance(block, Figure)]


@pytest.mark.parametrize(
    ("how_many", "lines"),
    [(1, [1]), (2, [2]), (3, [3]), (4, [2, 2]), (5, [3, 2]), (7, [3, 2, 2]), (0, [])],
)
def test_pictures_are_spread_evenly_over_lines(how_many: int, lines: list[int]) -> None:
    assert evenly(how_many, 3) == lines


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
@pytest.mark.parametrize(
    "photos", [(LANDSCAPE,), (PORTRAIT,), (PANORAMA,), (LANDSCAPE, PORTRAIT, PANORAMA)]
)
def test_a_line_of_pictures_fits_between_the_margins(
    photos: tuple[object, ...], page_size: str
) -> None:
    width_mm = Layout(page_size=page_size).text_width_mm
    pictures = [
        whole_photo(photo, name=photo.id, alt="")
        for photo in (LANDSCAPE, PORTRAIT, PANORAMA)
        if photo in photos
    ]

    shown = in_one_line(pictures, width_mm=width_mm, tallest_mm=72)

    assert sum(picture.width_mm for picture in shown) + 2 * (len(shown) - 1) < width_mm
    assert len({round(picture.height_mm, 6) for picture in shown}) == 1
    assert shown[0].height_mm <= 72
    for picture in shown:
        aspect = picture.photo.width_px / picture.photo.height_px
        assert picture.width_mm / picture.height_mm == pytest.approx(aspect)


def test_each_mark_has_a_close_up_beside_the_whole_photo() -> None:
    marks = (a_mark(1, photo=LANDSCAPE, outline=SMALL), a_mark(2, photo=PORTRAIT, outline=SMALL))

    figures = _figures(a_case(a_finding(1, marks=marks), photos=(LANDSCAPE, PORTRAIT)))

    assert [[p.name for p in figure.pictures] for figure in figures] == [
        ["finding-1-photo-01", "finding-1-photo-01-mark-1"],
        ["finding-1-photo-02", "finding-1-photo-02-mark-1"],
    ]
    assert figures[0].caption.text == "Finding 1 on photo 01: whole photo and close-up."


def test_a_mark_over_the_whole_photo_needs_no_close_up() -> None:
    mark = a_mark(1, photo=LANDSCAPE, outline=rectangle(0, 0, 1, 1))

    figures = _figures(a_case(a_finding(1, marks=(mark,)), photos=(LANDSCAPE,)))

    assert [len(figure.pictures) for figure in figures] == [1]
    assert figures[0].caption.text == "Finding 1 on photo 01: whole photo."


def test_only_the_finding_that_is_described_is_emphasised() -> None:
    first = a_finding(1, marks=(a_mark(1, photo=LANDSCAPE, outline=SMALL),))
    second = a_finding(2, marks=(a_mark(2, photo=LANDSCAPE, outline=SMALL),))

    shown = _figures(a_case(first, second, photos=(LANDSCAPE,)))[0].pictures[0]

    assert isinstance(shown, PhotoPicture)
    assert {(mark.label, mark.is_emphasised) for mark in shown.marks} == {("1", True), ("2", False)}


def test_a_finding_with_many_marks_gets_further_lines() -> None:
    marks = tuple(
        a_mark(number, photo=LANDSCAPE, outline=rectangle(x, 0.1, x + 0.05, 0.2))
        for number, x in enumerate((0.1, 0.3, 0.5, 0.7, 0.9), start=1)
    )

    figures = _figures(a_case(a_finding(1, marks=marks), photos=(LANDSCAPE,)))

    assert [len(figure.pictures) for figure in figures] == [3, 3]
    assert figures[1].caption.text == "Finding 1 on photo 01: close-ups."
