"""``python -m rules``: the rule book by itself, without the app.

``check`` proves it, ``order`` prints what counts as worse than what, ``verdicts`` prints every
answer as digests, ``list`` names its words and rows, ``explain RULE-ID`` tells one row.
"""

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from rules.checks import check
from rules.explain import explain
from rules.loader import load_rulebook
from rules.model import Component, DamageType, Reason
from rules.proofs.order import order_lines
from rules.proofs.verdicts import verdict_lines
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import Origin, RulebookError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; 0 done, 1 a fault or a plain sentence on stderr, 2 wrong usage."""
    given = _parser().parse_args(arguments)
    try:
        book = load_rulebook(given.folder, overlay=given.overlay)
        if given.command == "check":
            return _check(book, load_rulebook(given.folder) if given.overlay else None)
    except RulebookError as error:
        print(error, file=sys.stderr)
        return 1
    if given.command == "explain":
        return _explain(book, given.rule)
    print("\n".join(_LINES[given.command](book)))
    return 0


def _check(book: Rulebook, ours: Rulebook | None) -> int:
    report = check(book, over=ours)
    print("\n".join(report.lines()))
    return 0 if report.is_in_order else 1


def _explain(book: Rulebook, rule_id: str) -> int:
    lines = explain(book, rule_id)
    if not lines:
        print(f"The rule book has no rule '{rule_id}'.", file=sys.stderr)
        return 1
    print("\n".join(lines))
    return 0


def _list(book: Rulebook) -> Iterator[str]:
    yield "Parts"
    yield from (f"  {part.id:<28}{part.label}{_whose(part)}" for part in book.components.values())
    yield "Damage types"
    damages = book.damage_types.values()
    yield from (f"  {damage.id:<28}{damage.label}{_whose(damage)}" for damage in damages)
    yield "Zones"
    yield from (f"  {zone.id:<28}{zone.label}" for zone in book.zones.values())
    yield "Rules"
    yield from (f"  {rule.id}  {rule.because}{_whose(rule)}" for rule in book.rules.values())
    yield from (f"  {rule.id}  {rule.because}" for rule in book.quarantine_rules.values())
    yield from (f"  {rule.id}  {rule.because}" for rule in book.transport_rules.values())
    yield from (f"  {rule.id}  {rule.because}" for rule in book.evidence.rules)
    reasons = [stop.reason for stop in book.stop_rules.values()]
    yield from (f"  {why.rule_id}  {why.because}{_whose(why)}" for why in reasons)


def _whose(row: Component | DamageType | Rule | Reason) -> str:
    return " (the shop's own)" if row.origin is Origin.SHOP else ""


_LINES: Mapping[str, Callable[[Rulebook], Iterable[str]]] = {
    "list": _list,
    "order": order_lines,
    "verdicts": verdict_lines,
}


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m rules", description=__doc__)
    parser.add_argument(
        "--folder", type=Path, help="read the tables from this folder, not from the package"
    )
    shop = argparse.ArgumentParser(add_help=False)
    shop.add_argument(
        "--overlay",
        metavar="FILE",
        type=Path,
        help="lay the shop's own rules in FILE over the book",
    )
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("check", parents=[shop], help="check the whole book; status 1 on any fault")
    commands.add_parser(
        "order", parents=[shop], help="print what counts as worse than what, fact by fact"
    )
    commands.add_parser(
        "verdicts", parents=[shop], help="print every answer of the book as short digests"
    )
    commands.add_parser("list", parents=[shop], help="print parts, damage types, zones and rules")
    one = commands.add_parser(
        "explain", parents=[shop], help="print one rule with its source and its example"
    )
    one.add_argument("rule", help="such as HVF-010")
    return parser


if __name__ == "__main__":
    raise SystemExit(main())
