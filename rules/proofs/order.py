"""The partial order of the facts, written down: what counts as worse than what."""

from collections.abc import Iterator

from rules.proofs.setting import Order, Value, orders
from rules.proofs.steps import DAMAGE_CHAINS
from rules.rulebook import Rulebook

_LEFT_OUT = (
    "Not compared: a conductor in sight with one that nobody looked for, unless something open",
    "guards HV; covers that are on with covers of which nobody spoke (the rules treat them alike).",
    "A distance that nobody measured is near only where high voltage runs; elsewhere it is within",
    "reach, and on a 48 V mild hybrid it is nothing.",
)


def order_lines(book: Rulebook) -> Iterator[str]:
    """Yield, for each fact, its single steps from milder to worse; every one is tested."""
    yield "Each step to the right is worse, or the same, in every respect:"
    checks = [check for rule in book.rules.values() for check in rule.checks]
    for fact, order in orders(book, checks).items():
        yield f"  {fact}: {'; '.join(_steps(order))}"
    for chain in DAMAGE_CHAINS:
        yield f"  damage: {' < '.join(chain)}"
    yield "  part: any < unidentified; damage: any < unidentified"
    yield "  sign on the car: no < nobody said < yes"
    yield "  battery seen whole: yes < nobody said"
    yield "  findings: any < one more"
    yield from _LEFT_OUT


def _steps(order: Order) -> Iterator[str]:
    """Yield steps that follow one another as one chain."""
    chain: list[Value] = []
    for milder, worse in order.steps:
        if chain and chain[-1] is not milder and chain[-1] != milder:
            yield _chain(chain)
            chain = []
        chain += [worse] if chain else [milder, worse]
    if chain:
        yield _chain(chain)


def _chain(values: list[Value]) -> str:
    return " < ".join("nobody said" if value is None else str(value) for value in values)
