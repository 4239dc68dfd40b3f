"""What changed in the book from revision to revision, for readers who do not read code."""

from importlib import resources


def book_changes() -> str:
    """Return the list of changes that comes with the book, as Markdown."""
    return resources.files("rules").joinpath("CHANGES.md").read_text(encoding="utf-8")
