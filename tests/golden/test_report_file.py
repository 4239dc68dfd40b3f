"""The Word file is sound: what a reader of the standard, Word and a screen reader expect of it."""

import re
import zipfile
from functools import cache
from io import BytesIO
from itertools import pairwise

import pytest
from docx import Document
from lxml import etree
from PIL import Image

from rules import load_rulebook
from tests.builders import SIGNED
from tests.unit.report.cases import CASES
from tests.unit.report.word_file import NAMESPACES, R, W, WordFile, found, style_of, text_of, value
from triage_app.report import Layout, render_rule_book

EMU_PER_MM = 36_000
A4_TEXT_WIDTH_MM = 170
RULE_BOOK = "the rule book"


@cache
def _file(name: str) -> WordFile:
    return WordFile(_render(name))


def _render(name: str) -> bytes:
    if name != RULE_BOOK:
        return CASES[name]().render()
    layout = Layout(shop_name="Invented Body Shop")
    return render_rule_book(load_rulebook(), layout=layout, printed=SIGNED)


@pytest.fixture(params=[*sorted(CASES), RULE_BOOK])
def word(request: pytest.FixtureRequest) -> WordFile:
    return _file(request.param)


def test_every_part_is_well_formed_without_a_document_type(word: WordFile) -> None:
    for name in word.xml_names:
        assert b"<!DOCTYPE" not in word.packed.read(name)
        assert word.part(name) is not None


def test_every_relationship_leads_to_a_part(word: WordFile) -> None:
    for name in word.names:
        for target in word.relations_of(name).values():
            assert target in word.names


def test_every_relationship_that_is_used_exists(word: WordFile) -> None:
    for name in word.names:
        if not name.endswith(".xml"):
            continue
        known = word.relations_of(name)
        for element in word.part(name).iter(etree.Element):
            for key, used in element.attrib.items():
                if str(key).startswith(R):
                    assert used in known


def test_every_part_has_a_content_type_and_no_other_is_named(word: WordFile) -> None:
    types = word.part("[Content_Types].xml")
    by_end = {default.get("Extension") for default in found(types, "ct:Default")}
    by_name = {override.get("PartName") for override in found(types, "ct:Override")}
    for name in word.names:
        assert (
            name == "[Content_Types].xml" or f"/{name}" in by_name or name.split(".")[-1] in by_end
        )
    assert {name[1:] for name in by_name if name} <= set(word.names)


def test_python_docx_opens_it(word: WordFile) -> None:
    data = BytesIO()
    with zipfile.ZipFile(data, "w") as copy:
        for name in word.names:
            copy.writestr(name, word.packed.read(name))

    document = Document(data)

    assert document.core_properties.author == "Invented Body Shop"
    assert document.core_properties.title.startswith(("Underbody damage report", "Rule book"))


def test_every_drawing_is_in_line_with_its_own_number_and_a_description(word: WordFile) -> None:
    numbers = [
        drawing.get("id") for story in word.stories for drawing in found(story, ".//wp:docPr")
    ]
    assert len(numbers) == len(set(numbers))
    assert not found(word.body, ".//wp:anchor")
    for alt in word.alt_texts:
        assert len(alt) > 12
        assert not re.search(r"\.(jpe?g|heic|png)", alt)


def test_every_data_table_has_a_title_and_a_header_row_that_repeats(word: WordFile) -> None:
    for table in word.tables:
        assert value(table, "w:tblPr/w:tblCaption")
        rows = found(table, "w:tr")
        if len(rows) > 1:
            assert found(rows[0], "w:trPr/w:tblHeader")
        widths = {len(found(row, "w:tc")) for row in rows}
        assert len(widths) == 1
        assert not found(table, ".//w:vMerge")
        assert not found(table, ".//w:gridSpan")


def test_rows_with_pictures_do_not_break_across_pages(word: WordFile) -> None:
    for table in word.tables:
        for row in found(table, "w:tr"):
            if found(row, ".//w:drawing"):
                assert found(row, "w:trPr/w:cantSplit")


def test_headings_begin_at_level_one_and_skip_none(word: WordFile) -> None:
    levels = [level for level, _ in word.headings]
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
    assert all(text.strip() for _, text in word.headings)


def test_every_link_leads_to_a_bookmark(word: WordFile) -> None:
    starts = found(word.body, ".//w:bookmarkStart")
    names = [start.get(f"{W}name") for start in starts]
    assert len(names) == len(set(names))
    assert len({start.get(f"{W}id") for start in starts}) == len(starts)
    for link in found(word.body, ".//w:hyperlink"):
        assert link.get(f"{W}anchor") in names


def test_every_field_is_closed_and_has_its_result_written_in(word: WordFile) -> None:
    for story in word.stories:
        marks = [mark.get(f"{W}fldCharType") for mark in story.iter(f"{W}fldChar")]
        assert marks.count("begin") == marks.count("separate") == marks.count("end")
        for paragraph in story.iter(f"{W}p"):
            if found(paragraph, ".//w:instrText"):
                assert text_of(paragraph).strip()
    assert "updateFields" not in word.packed.read("word/settings.xml").decode()


def test_pictures_fit_between_the_margins(word: WordFile) -> None:
    for extent in found(word.body, ".//wp:extent"):
        width_mm = int(extent.get("cx", "0")) / EMU_PER_MM
        assert 1 < width_mm <= A4_TEXT_WIDTH_MM
        assert 1 < int(extent.get("cy", "0")) / EMU_PER_MM < 230


def test_pictures_say_nothing_of_place_camera_or_maker(word: WordFile) -> None:
    for name, data in word.pictures.items():
        assert b"SERIAL" not in data
        assert b"taken at home" not in data
        with Image.open(BytesIO(data)) as picture:
            picture.load()
            assert dict(picture.getexif()) == {}
            assert picture.mode in ("RGB", "RGBA", "P")
            assert picture.format == ("PNG" if name.endswith("png") else "JPEG")


def test_the_language_is_said_in_the_styles_and_in_the_properties(word: WordFile) -> None:
    language = value(word.part("word/styles.xml"), "w:docDefaults/w:rPrDefault/w:rPr/w:lang")
    core = word.packed.read("docProps/core.xml").decode()
    assert language == "en-GB"
    assert f">{language}</dc:language>" in core


def test_no_placeholder_is_left_in_the_text(word: WordFile) -> None:
    for story in word.stories:
        text = text_of(story)
        assert not re.search(r"\b(None|nan|NaN|TODO)\b|\{[a-z_]*\}|<[A-Za-z]+ object", text)


def test_every_style_that_is_used_is_defined(word: WordFile) -> None:
    defined = {style.get(f"{W}styleId") for style in found(word.part("word/styles.xml"), "w:style")}
    for story in word.stories:
        for kind in ("pStyle", "rStyle", "tblStyle"):
            used = {mark.get(f"{W}val") for mark in story.iter(f"{W}{kind}")}
            assert used <= defined


def test_words_on_a_coloured_ground_keep_their_contrast(word: WordFile) -> None:
    for run in word.body.iter(f"{W}r"):
        ink, ground = value(run, "w:rPr/w:color") or "000000", _ground(run)
        if text_of(run).strip():
            assert _contrast(ink, ground) >= 4.5


def _ground(run: etree._Element) -> str:
    paths = {f"{W}r": "w:rPr/w:shd", f"{W}p": "w:pPr/w:shd", f"{W}tc": "w:tcPr/w:shd"}
    for element in (run, *run.iterancestors()):
        path = paths.get(str(element.tag))
        shade = element.find(path, NAMESPACES) if path else None
        if shade is not None:
            return shade.get(f"{W}fill") or "FFFFFF"
    return "FFFFFF"


def _contrast(one: str, other: str) -> float:
    """Return the contrast of two colours (WCAG 2.1, relative luminance; formula from memory)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
        linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_zip_depends_on_no_clock_and_stores_pictures_as_they_are(word: WordFile) -> None:
    for info in word.packed.infolist():
        assert info.date_time == (1980, 1, 1, 0, 0, 0)
        is_picture = info.filename.startswith("word/media/")
        assert (info.compress_type == zipfile.ZIP_STORED) is is_picture


@pytest.mark.parametrize("name", [*sorted(CASES), RULE_BOOK])
def test_the_same_case_gives_the_same_bytes(name: str) -> None:
    assert _render(name) == _render(name)


def test_text_in_a_right_to_left_script_runs_from_right_to_left() -> None:
    word = _file("hostile")
    arabic = [
        paragraph
        for paragraph in word.body.iter(f"{W}p")
        if "\u0645\u0642\u0637\u0648\u0639" in text_of(paragraph)
    ]
    assert arabic
    for paragraph in arabic:
        assert found(paragraph, "w:pPr/w:bidi")
        assert found(paragraph, "w:r/w:rPr/w:rtl")
    assert style_of(arabic[0]) == "CellText"
    assert not found(word.body, "w:p/w:pPr/w:bidi")
