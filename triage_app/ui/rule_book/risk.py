"""The risk table and the words for its rows and columns, as the book gives them."""

from html import escape

from rules import Consequence, Likelihood, Rulebook, SignalWord
from triage_app.ui import rule_book_text as text
from triage_app.ui import words
from triage_app.ui.widgets.risk_badge import risk_badge_html

Cell = tuple[Consequence, Likelihood]


def risk_table_html(book: Rulebook, *, chosen: Cell | None = None) -> str:
    """Return the whole table by word, pattern and colour, with the chosen cell framed."""
    head = "".join(
        f"<th>{consequence.value} {escape(words.CONSEQUENCES[consequence])}</th>"
        for consequence in sorted(book.consequences)
    )
    rows = "".join(
        f"<tr><th>{likelihood.value} {escape(words.LIKELIHOODS[likelihood])}</th>"
        + "".join(_cell(book, (consequence, likelihood), chosen) for consequence in Consequence)
        + "</tr>"
        for likelihood in sorted(book.likelihoods)
    )
    corner = f"{escape(text.LIKELIHOOD)} ↓ · {escape(text.CONSEQUENCE)} →"
    return (
        f'<div class="ub-scroll"><table class="ub-matrix"><thead><tr><th>{corner}</th>{head}</tr>'
        f"</thead><tbody>{rows}</tbody></table></div>"
    )


def _cell(book: Rulebook, cell: Cell, chosen: Cell | None) -> str:
    css = ' class="ub-chosen"' if cell == chosen else ""
    return f"<td{css}>{risk_badge_html(book.risk_matrix[cell])}</td>"


def meanings_html(book: Rulebook) -> str:
    """Return what each consequence, likelihood and signal word means here."""
    cited = book.risk_citation
    source = book.sources[cited.source]
    groups = (
        (
            text.CONSEQUENCE_MEANS,
            [
                (f"{one.value} {book.consequences[one].name}", book.consequences[one].says)
                for one in sorted(book.consequences)
            ],
        ),
        (
            text.LIKELIHOOD_MEANS,
            [
                (f"{one} {book.likelihoods[one].name}", book.likelihoods[one].says)
                for one in sorted(book.likelihoods)
            ],
        ),
        (
            text.SIGNAL_WORDS,
            [(one.name, book.signal_words[one].says) for one in sorted(SignalWord, reverse=True)],
        ),
        (
            text.QUARANTINE,
            [(each.label, each.text) for _, each in sorted(book.quarantine_levels.items())],
        ),
        (
            text.TRANSPORT,
            [(each.label, each.text) for _, each in sorted(book.transport_classes.items())],
        ),
    )
    lists = "".join(
        f"<h4>{escape(title)}</h4><dl class='ub-lines'>"
        + "".join(f"<dt>{escape(name)}</dt><dd>{escape(says)}</dd>" for name, says in rows)
        + "</dl>"
        for title, rows in groups
    )
    return (
        f"<p>{escape(text.RISK_TABLE_HOW)} {escape(source.title)}, {escape(cited.clause)} "
        f"<b>[{escape(cited.status.value)}]</b></p>{lists}"
    )
