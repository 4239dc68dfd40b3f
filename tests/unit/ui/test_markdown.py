"""Text of people shown inside Markdown."""

from triage_app.ui.markdown import as_typed


def test_nothing_that_means_something_in_markdown_is_left_bare() -> None:
    hostile = "![x](http://elsewhere.example/x.png) <b> `code` $x$ ~~y~~ *z* _u_ \\"
    shown = as_typed(hostile)
    bare = [
        letter
        for before, letter in zip(" " + shown, shown, strict=False)
        if letter in "`*_[]<>$~" and before != "\\"
    ]
    assert bare == []


def test_a_plain_sentence_is_left_alone() -> None:
    sentence = "The case reference R-1 is taken (by another case): choose one."
    assert as_typed(sentence) == sentence
