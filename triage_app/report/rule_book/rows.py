"""The rows of the printed book that judge: rules by topic, actions, tests, examples, sources."""

from collections.abc import Iterable, Iterator, Sequence
from html import unescape

from rules import Citation, HvFlag, Origin, Rulebook
from rules.aloud import RuleAloud
from rules.changes import book_changes
from triage_app.report import labels
from triage_app.report.blocks import Numbering, bullets, cell, heading, intro, words
from triage_app.report.model import Block, Cell, Look, Paragraph, Table, Text
from triage_app.report.rule_book import texts

_MUTED_INK = "44525A"


def rules(book: Rulebook, aloud: Sequence[RuleAloud], numbering: Numbering) -> list[Block]:
    """Return every rule, a table for each topic."""
    made: list[Block] = [
        heading(1, texts.RULES, "rules", starts_page=True),
        words(texts.RULES_INTRO),
    ]
    for number, topic in enumerate(dict.fromkeys(rule.topic for rule in aloud), start=1):
        of_topic = [rule for rule in aloud if rule.topic == topic]
        made += [
            heading(2, topic, f"rules_{number}"),
            Table(
                title=topic,
                header=("Rule", "When", "Then", "Because, and source"),
                rows=tuple(_rule(book, rule) for rule in of_topic),
                width_fracs=(0.1, 0.31, 0.25, 0.34),
                caption=numbering.next("Table", f"{topic}."),
            ),
        ]
    return made


def _rule(book: Rulebook, rule: RuleAloud) -> tuple[Cell, ...]:
    when = [*_with_and(rule.when), *_with_and(rule.beside, first="and beside it: ")]
    rests = Text(text=_rests_on(book, rule), ink=_MUTED_INK)
    return (
        cell(rule.id, strong=True),
        _lines(when),
        _lines(rule.then),
        Cell(
            content=(
                Paragraph(texts=(Text(text=rule.because),), look=Look.CELL),
                Paragraph(texts=(rests,), look=Look.CELL),
            )
        ),
    )


def _with_and(lines: Iterable[str], *, first: str = "") -> Iterator[str]:
    for number, line in enumerate(lines):
        yield f"{'and ' if number else first}{line}"


def _lines(lines: Iterable[str]) -> Cell:
    return Cell(
        content=tuple(Paragraph(texts=(Text(text=line),), look=Look.CELL) for line in lines)
    )


def _rests_on(book: Rulebook, rule: RuleAloud) -> str:
    cited = "; ".join(_cited(book, citation) for citation in rule.citations)
    shop = f" ({rule.origin.value})" if rule.origin is Origin.SHOP else ""
    return f"{rule.basis.value.capitalize()}{shop}{': ' + cited if cited else ''}."


def _cited(book: Rulebook, citation: Citation) -> str:
    title = labels.designation(book.sources[citation.source].title)
    return f"{title}; {citation.statement} ({citation.status.value})"


def actions(book: Rulebook, numbering: Numbering) -> list[Block]:
    def kind(flag: HvFlag | None) -> str:
        return "" if flag is None else f"Mandatory: {labels.HV_FLAG_WORDS[flag]} or nearer"

    return [
        heading(1, texts.ACTIONS, "actions"),
        intro(texts.ACTIONS_INTRO),
        Table(
            title=texts.ACTIONS,
            header=("Step", "What must be done", "Kind"),
            rows=tuple(
                (
                    cell(str(number), strong=True),
                    cell(action.text),
                    cell(kind(action.required_from) or action.signal_word.name.capitalize()),
                )
                for number, action in enumerate(
                    sorted(book.actions.values(), key=lambda one: one.order), start=1
                )
            ),
            width_fracs=(0.08, 0.7, 0.22),
            caption=numbering.next("Table", "Actions."),
        ),
    ]


def tests(book: Rulebook, numbering: Numbering) -> list[Block]:
    return [
        heading(1, texts.TESTS, "tests"),
        intro(texts.TESTS_INTRO),
        Table(
            title=texts.TESTS,
            header=("Test", "Done by"),
            rows=tuple((cell(test.text), cell(test.by)) for test in book.open_tests.values()),
            width_fracs=(0.72, 0.28),
            caption=numbering.next("Table", "Tests that may be outstanding."),
        ),
    ]


def examples(aloud: Iterable[RuleAloud], numbering: Numbering) -> list[Block]:
    return [
        heading(1, texts.EXAMPLES, "examples"),
        intro(texts.EXAMPLES_INTRO),
        Table(
            title=texts.EXAMPLES,
            header=("Rule", "Fires on", "Near miss"),
            rows=tuple(
                (cell(rule.id, strong=True), _lines(rule.fires_on), _lines(rule.near_misses))
                for rule in aloud
                if rule.fires_on
            ),
            width_fracs=(0.12, 0.44, 0.44),
            caption=numbering.next("Table", "Examples, tested with the book."),
        ),
    ]


def sources(book: Rulebook, aloud: Sequence[RuleAloud], numbering: Numbering) -> list[Block]:
    """Return each document once, with what is taken from it and by which rules."""
    made: list[Block] = [heading(1, texts.SOURCES, "sources"), words(texts.SOURCES_INTRO)]
    for number, source in enumerate(book.sources.values(), start=1):
        facts = [fact for fact in book.facts.values() if fact.citation.source == source.id]
        made += [
            heading(2, labels.designation(source.title), f"source_{number}"),
            words(
                f"{source.title}. {source.publisher}; {source.edition}. "
                f"How far checked: {source.status.value}."
            ),
        ]
        if facts:
            made.append(
                Table(
                    title=source.title,
                    header=("Clause", "What it says, in our words", "Checked", "Rules"),
                    rows=tuple(
                        (
                            cell(fact.citation.clause),
                            cell(fact.citation.says),
                            cell(fact.citation.status.value),
                            cell(", ".join(_users(aloud, fact.citation)) or "none"),
                        )
                        for fact in facts
                    ),
                    width_fracs=(0.2, 0.42, 0.15, 0.23),
                    caption=numbering.next("Table", f"{source.title}."),
                )
            )
    return made


def _users(aloud: Iterable[RuleAloud], citation: Citation) -> list[str]:
    return [rule.id for rule in aloud if citation in rule.citations]


def changes() -> list[Block]:
    """Return the list of changes; its Markdown has headings, paragraphs and bullets only."""
    made: list[Block] = [heading(1, texts.CHANGES, "changes")]
    items: list[str] = []
    for number, piece in enumerate(_pieces(book_changes().partition("\n")[2])):
        if piece.startswith("- "):
            items.append(piece[2:])
            continue
        made += [bullets(*items)] if items else []
        items = []
        if piece.startswith("## "):
            made.append(heading(2, piece[3:], f"change_{number}"))
        else:
            made.append(words(piece))
    return [*made, bullets(*items)] if items else made


def _pieces(markdown: str) -> Iterator[str]:
    """Yield headings, bullets and paragraphs, each on one line."""
    held: list[str] = []
    for line in (*markdown.splitlines(), ""):
        begins = line.startswith(("- ", "#")) or not line.strip()
        if begins and held:
            yield unescape(" ".join(held)).replace("`", "")
            held = []
        if line.strip():
            held.append(line.strip())
