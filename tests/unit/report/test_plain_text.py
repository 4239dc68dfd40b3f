"""Text that people typed becomes text that XML and a page can hold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from triage_app.report.plain_text import by_direction, one_line, printable, reads_right_to_left


@given(st.text(st.characters(codec=None)))
def test_printable_text_can_always_be_written_as_xml(text: str) -> None:
    element = etree.Element("t")

    element.text = printable(text)

    assert etree.tostring(element, encoding="unicode")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("a\x00b\x0bc", "abc"),
        ("one\r\ntwo\rthree", "one\ntwo\nthree"),
        ("cut\u202egpj.exe", "cutgpj.exe"),
        ("soft\u00adhyphen and \ufeffmark", "softhyphen and mark"),
        ("\ud800half a pair\ufffe", "half a pair"),
        (
            "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
            "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
        ),
        ("\U0001f697 car", "\U0001f697 car"),
    ],
    ids=["controls", "line ends", "override", "invisible", "no character", "joiner", "emoji"],
)
def test_only_what_harms_is_taken_out(typed: str, shown: str) -> None:
    assert printable(typed) == shown


def test_one_line_has_single_spaces() -> None:
    assert one_line("  a\n\tb  \x00 c ") == "a b c"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Cable cut", False),
        ("\u05e9\u05dc\u05d5\u05dd", True),
        ("\u0627\u0644\u0643\u0627\u0628\u0644 400 V \u0645\u0642\u0637\u0648\u0639", True),
        ("\u05e9\u05dd · case R-0001, revision 1", False),
        ("123", False),
        ("", False),
        ("\u9ad8\u5727", False),
    ],
)
def test_a_paragraph_follows_most_of_its_letters(text: str, *, expected: bool) -> None:
    assert reads_right_to_left(text) is expected


@given(st.text())
def test_stretches_of_one_direction_add_up_to_the_text(text: str) -> None:
    stretches = by_direction(text)

    assert "".join(stretch for stretch, _ in stretches) == text


def test_mixed_text_is_split_where_the_direction_turns() -> None:
    assert by_direction("HV \u05e9\u05dc\u05d5\u05dd OK") == [
        ("HV ", False),
        ("\u05e9\u05dc\u05d5\u05dd ", True),
        ("OK", False),
    ]
