"""Small pieces of Markdown: tables and cells."""

from collections.abc import Iterable, Sequence


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table with a line break at its end; cells may hold any text."""
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(_cell(cell) for cell in line)} |\n" for line in lines)


def code(text: str) -> str:
    return f"`{text}`" if text else ""


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())
