"""What the report of one fixed case holds, in order; not how it looks.

After a wanted change run with UPDATE_GOLDENS=1 and review the difference.
"""

import os
import re
from functools import cache
from pathlib import Path

from tests.unit.report.cases import workshop
from tests.unit.report.word_file import W, WordFile, cells_of, found, style_of, text_of, title_of

GOLDEN = Path(__file__).parent / "report" / "structure.txt"


@cache
def _word() -> WordFile:
    return WordFile(workshop().render())


def structure_of(word: WordFile) -> list[str]:
    """Return a line per heading, caption, list, picture and table."""
    lines: list[str] = []
    for block in word.body:
        if block.tag == f"{W}tbl":
            header, *rows = cells_of(block)
            lines.append(f"  table {title_of(block)!r}: {' | '.join(header)}")
            lines += [f"    {' | '.join(row)}" for row in rows]
        style = style_of(block)
        if style.startswith("Heading"):
            lines.append(f"{'#' * int(style[-1])} {text_of(block)}")
        elif text_of(block).strip() and block.tag == f"{W}p":
            lines.append(f"  {style}: {text_of(block)}")
        lines += [f"    [picture: {alt.get('descr')}]" for alt in found(block, ".//wp:docPr")]
    # Hashes change with the picture libraries, and the rule book's own words with the book.
    return [
        re.sub(r"\b[0-9a-f]{64}\b", "<sha256>", re.sub(r"\s*\n\s*", " / ", line))
        for line in _without_the_books_words(lines)
    ]


def _without_the_books_words(lines: list[str]) -> list[str]:
    kept, skipping = [], False
    for line in lines:
        if not line.startswith("    "):
            skipping = line.startswith(("  table 'Consequence", "  table 'Likelihood"))
        if not (skipping and line.startswith("    ")):
            kept.append(line)
    return kept


def test_the_report_holds_what_the_golden_file_says() -> None:
    lines = structure_of(_word())
    if os.environ.get("UPDATE_GOLDENS") == "1":
        GOLDEN.parent.mkdir(exist_ok=True)
        GOLDEN.write_text("\n".join(lines) + "\n", encoding="utf-8")

    assert lines == GOLDEN.read_text(encoding="utf-8").splitlines()


def test_the_numbers_on_page_one_add_up() -> None:
    word = _word()
    details = [text for level, text in word.headings if text.startswith("Finding ")]
    for title in (
        "Hazard now: number of findings by risk",
        "Repair needed: number of findings by what the part needs",
    ):
        counts = [int(re.sub(r"\D", "", cell)) for cell in word.table(title)[1][1:]]
        assert sum(counts) == len(details) == 3


def test_figures_and_tables_are_numbered_without_a_gap() -> None:
    captions = [
        text_of(paragraph)
        for paragraph in _word().body.iter(f"{W}p")
        if style_of(paragraph) in ("Caption", "TableCaption")
    ]
    for label in ("Figure", "Table"):
        numbers = [int(hit[1]) for text in captions if (hit := re.match(rf"{label} (\d+)\.", text))]
        assert numbers == list(range(1, len(numbers) + 1))
        assert numbers


def test_the_contents_list_every_chapter_once() -> None:
    listed = [
        text_of(paragraph)
        for paragraph in _word().body.iter(f"{W}p")
        if style_of(paragraph).startswith("TOC") and style_of(paragraph) != "TOCHeading"
    ]
    assert listed == [text for level, text in _word().headings if level == 1]
