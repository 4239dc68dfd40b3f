"""assess, check-rules: ask the rules, and ask the rule book about itself."""

import argparse
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from rules import (
    Component,
    DamageType,
    HvFlag,
    OpenTest,
    Origin,
    Rulebook,
    Zone,
    assess,
    load_rulebook,
)
from rules.checks import check
from triage_app.casefile.cases import case_from_json
from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import (
    RulebookDocument,
    WhatIfDocument,
    assessment_document,
    show,
)
from triage_app.cli.evidence_words import change_lines
from triage_app.cli.files import read_file
from triage_app.cli.suppositions import SUPPOSE_HELP, read_suppositions
from triage_app.cli.words import HV_NOTICE, printable
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.findings import case_facts
from triage_app.services.demo import demo_facts
from triage_app.services.triage import what_if

MAX_CASE_JSON_BYTES = 100_000_000


class _FaultyRulebookError(InvalidInputError):
    """The rule book contradicts itself; the faults were listed."""


def _assess_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "case", metavar="CASE|CASE.json", help="reference or id, or a case as JSON in a file"
    )
    parser.add_argument(
        "--json",
        action="store_true",
        help="print as JSON; without --suppose it always does",
    )
    parser.add_argument("--suppose", metavar="WHAT", action="append", help=SUPPOSE_HELP)


def _assess(options: argparse.Namespace, desk: Desk) -> int:
    if options.case.lower().endswith(".json"):
        case = _case_in(Path(options.case))
        _check_words(case, desk.rulebook)
    else:
        case = desk.case(options.case)
    if options.suppose:
        return _what_if(options, case, desk.rulebook)
    show(assessment_document(assess(case_facts(case, desk.rulebook.components), desk.rulebook)))
    return 0


def _what_if(options: argparse.Namespace, case: Case, rulebook: Rulebook) -> int:
    supposed = tuple(printable(text) for text in options.suppose)
    answer = what_if(case, read_suppositions(options.suppose, case, rulebook), rulebook)
    if options.json:
        show(
            WhatIfDocument(
                supposed=supposed,
                before=answer.before,
                after=answer.after,
                changes=answer.changes,
            )
        )
        return 0
    print(HV_NOTICE)
    print(f"Only supposed, nothing is saved: {'; '.join(supposed)}")
    for line in change_lines(case, answer.changes):
        print(line)
    return 0


def _case_in(path: Path) -> Case:
    try:
        text = read_file(path, at_most_bytes=MAX_CASE_JSON_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InvalidInputError(f"'{path}' is not a text file in UTF-8.") from error
    return case_from_json(text)


def _check_words(case: Case, rulebook: Rulebook) -> None:
    for finding in case.findings:
        for word, known, what in (
            (finding.tags.component, rulebook.components, "component"),
            (finding.tags.damage, rulebook.damage_types, "damage type"),
            (finding.tags.zone, rulebook.zones, "zone"),
        ):
            if word is not None and word not in known:
                raise InvalidInputError(
                    f"Finding {finding.number}: the rule book has no {what} '{word}'."
                )
    for record in case.evidence:
        if record.entry.test is not None and record.entry.test not in rulebook.open_tests:
            raise InvalidInputError(
                f"Record {record.number}: the rule book has no test '{record.entry.test}'."
            )


def _check_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--list",
        action="store_true",
        help="only print the components, damage types, zones and tests that commands take",
    )
    parser.add_argument(
        "--json", action="store_true", help="print words, faults and shares as JSON"
    )
    parser.add_argument(
        "--overlay",
        metavar="FILE",
        help="lay the shop's own rules in FILE over the book and say what they add and tighten "
        "(UNDERBODY_SHOP_RULES)",
    )


def _check_rules(options: argparse.Namespace, desk: Desk) -> int:
    if options.overlay is not None:
        desk = desk.with_settings(replace(desk.settings, shop_rules=options.overlay or "."))
    book = desk.rulebook
    if options.list and not options.json:
        _list_words(book)
        return 0
    report = check(book, over=load_rulebook()) if book.overlay else check(book)
    demo = _demo_share(book)
    if options.json:
        show(
            RulebookDocument(
                stamp=book.stamp,
                faults=report.faults,
                hv_flags_of_demo=demo,
                components=tuple(book.components.values()),
                damage_types=tuple(book.damage_types.values()),
                zones=tuple(book.zones.values()),
            )
        )
    else:
        print("\n".join(report.lines()))
        print(f"Demo case by its tags alone: {_share_words(demo)}")
    if report.faults:
        raise _FaultyRulebookError(
            f"The rule book has {len(report.faults)} faults; the first: {report.faults[0]}"
        )
    return 0


def _list_words(book: Rulebook) -> None:
    for title, words in (
        ("components", book.components),
        ("damage types", book.damage_types),
        ("zones", book.zones),
    ):
        print(f"{len(words)} {title}")
        for word in words.values():
            print(f"  {word.id:<32} {word.label}{_whose(word)}")
    print(f"{len(book.open_tests)} tests")
    for test in book.open_tests.values():
        print(f"  {test.id:<32} {test.text}{_whose(test)}")


def _whose(word: Component | DamageType | Zone | OpenTest) -> str:
    is_shops = not isinstance(word, Zone) and word.origin is Origin.SHOP
    return " (the shop's own)" if is_shops else ""


def _demo_share(book: Rulebook) -> dict[str, int]:
    """Return how many findings of the demo case carry which HV flag.

    Printed so that a change of the book that floods the reviewer's queue, or starves it, is seen.
    """
    answer = assess(demo_facts(lambda: datetime.now(UTC)), book)
    counts = Counter(finding.hv_flag for finding in answer.findings)
    return {flag.name.lower(): counts[flag] for flag in reversed(HvFlag)}


def _share_words(share: Mapping[str, int]) -> str:
    counts = ", ".join(f"{flag.replace('_', ' ')} {count}" for flag, count in share.items())
    return f"{sum(share.values())} findings, HV flag: {counts}"


COMMANDS = (
    Command(
        name="assess",
        about="print what the rules say of a case, as JSON",
        arguments=_assess_arguments,
        run=_assess,
    ),
    Command(
        name="check-rules",
        about="check the rule book for gaps and contradictions",
        arguments=_check_arguments,
        run=_check_rules,
    ),
)
