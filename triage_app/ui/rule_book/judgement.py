"""Rules, actions, tests and sources as entries, each linked to the others."""

from collections.abc import Iterable, Iterator
from html import escape

from rules import Action, Citation, HvFlag, OpenTest, Origin, Rulebook, Source
from rules.aloud import RuleAloud, rules_aloud
from triage_app.ui import rule_book_text as text
from triage_app.ui.rule_book.entry import Entry, Kind, Link, lines_html
from triage_app.ui.words import HV_FLAGS


def judgement_entries(book: Rulebook) -> Iterator[Entry]:
    aloud = rules_aloud(book)
    yield from (_rule(book, rule) for rule in aloud)
    asking = _asking(book)
    for action in sorted(book.actions.values(), key=lambda one: one.order):
        yield _action(action, asking.get(action.id, ()))
    for test in book.open_tests.values():
        yield _test(test, asking.get(test.id, ()))
    for source in book.sources.values():
        yield _source(book, source, aloud)


def _asking(book: Rulebook) -> dict[str, list[str]]:
    """Return, for each action and test, the rules that ask for it."""
    asking: dict[str, list[str]] = {}
    outcomes = [(rule.id, rule.then) for rule in book.rules.values()]
    outcomes += [(stop.id, stop.then) for stop in book.stop_rules.values()]
    for rule_id, then in outcomes:
        for wanted in sorted((*then.actions, *then.tests)):
            asking.setdefault(wanted, []).append(rule_id)
    return asking


def _rule(book: Rulebook, rule: RuleAloud) -> Entry:
    def body(link: Link) -> str:
        return lines_html(
            (
                (text.WHEN, _joined(rule.when)),
                (text.BESIDE, _joined(rule.beside)),
                (text.THEN, [escape(line) for line in rule.then]),
                (text.BECAUSE, [escape(rule.because)]),
                (text.RESTS_ON, [escape(rule.basis.value), *_cited(book, rule.citations, link)]),
                (text.ORIGIN, [escape(text.SHOPS_OWN)] * (rule.origin is Origin.SHOP)),
                (text.FIRES_ON, [escape(line) for line in rule.fires_on]),
                (text.NEAR_MISS, [escape(line) for line in rule.near_misses]),
            )
        )

    sources = [book.sources[cited.source] for cited in rule.citations]
    return Entry(
        kind=Kind.RULE,
        key=rule.id,
        title=f"<code>{escape(rule.id)}</code> {escape(rule.because)}",
        names=(rule.id,),
        said=(
            rule.because,
            *rule.speaks_of,
            *rule.when,
            *rule.beside,
            *rule.then,
            rule.basis.value,
            *(cited.says for cited in rule.citations),
            *(source.title for source in sources),
            *(source.id for source in sources),
        ),
        body=body,
        topic=rule.topic,
    )


def _joined(conditions: Iterable[str]) -> list[str]:
    return [
        escape(line) if number == 0 else f"<b>{escape(text.AND)}</b> {escape(line)}"
        for number, line in enumerate(conditions)
    ]


def _cited(book: Rulebook, citations: Iterable[Citation], link: Link) -> Iterator[str]:
    for cited in citations:
        source = book.sources[cited.source]
        yield (
            f"{escape(source.title)}, {escape(source.edition)}; "
            f"{escape(cited.statement)} <b>[{escape(cited.status.value)}]</b> {link(source.id)}"
        )


def _action(action: Action, asked_by: Iterable[str]) -> Entry:
    mandatory = ""
    if action.required_from is not None:
        mandatory = text.mandatory_from(HV_FLAGS[HvFlag(action.required_from)])

    def body(link: Link) -> str:
        return lines_html(
            (
                (text.MANDATORY, [escape(mandatory)]),
                (text.SIGNAL_WORDS, [action.signal_word.name]),
                (text.ASKED_BY, [" ".join(map(link, asked_by))]),
            )
        )

    return Entry(
        kind=Kind.ACTION,
        key=action.id,
        title=escape(action.text),
        names=(action.id,),
        said=(action.text, mandatory, *asked_by),
        body=body,
    )


def _test(test: OpenTest, asked_by: Iterable[str]) -> Entry:
    def body(link: Link) -> str:
        return lines_html(
            (
                (text.BY, [escape(test.by)]),
                (text.ASKED_BY, [" ".join(map(link, asked_by))]),
            )
        )

    return Entry(
        kind=Kind.TEST,
        key=test.id,
        title=escape(test.text),
        names=(test.id,),
        said=(test.text, test.by, *asked_by),
        body=body,
    )


def _source(book: Rulebook, source: Source, rules: Iterable[RuleAloud]) -> Entry:
    said = [
        f"{fact.citation.statement} [{fact.citation.status.value}]"
        for fact in book.facts.values()
        if fact.citation.source == source.id
    ]
    users = [
        rule.id for rule in rules if any(cited.source == source.id for cited in rule.citations)
    ]

    def body(link: Link) -> str:
        return lines_html(
            (
                (text.PUBLISHER, [escape(source.publisher)]),
                (text.EDITION, [escape(source.edition)]),
                (text.CHECKED, [f"<b>{escape(source.status.value)}</b>"]),
                (text.SAYS, [escape(line) for line in said]),
                (text.USED_BY, [" ".join(map(link, users))]),
            )
        )

    return Entry(
        kind=Kind.SOURCE,
        key=source.id,
        title=f"<b>{escape(source.title)}</b> [{escape(source.status.value)}]",
        names=(source.title, source.id),
        said=(source.publisher, source.edition, source.status.value, *said, *users),
        body=body,
    )
