"""Which findings lie along one line of travel with another one, by their zones and sides."""

from collections.abc import Sequence

from rules.model import TravelLine
from rules.seen import Seen, Vocabulary
from rules.terms import Side, ZoneId

_OPPOSITE = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


def in_line(one: Seen, others: Sequence[Seen], words: Vocabulary) -> list[Seen]:
    """Return the others that lie in line with ``one``, in the order given.

    A line counts where zones with damage follow one another without a gap from the zone of ``one``
    to at least one other zone. What nobody said counts as so: a finding without a zone is in line
    with all, one without a side with both sides.
    """
    if one.zone is None:
        return list(others)
    near: set[int] = {id(other) for other in others if other.zone is None}
    for line in words.lines_through(one.zone.id):
        near |= _along(line, one.zone.id, [other for other in others if _agree(line, one, other)])
    return [other for other in others if id(other) in near]


def _along(line: TravelLine, start: ZoneId, others: Sequence[Seen]) -> set[int]:
    placed = [(other.zone.id, id(other)) for other in others if other.zone is not None]
    # One that nobody placed may lie in any zone, and so fill every gap.
    damaged = {zone for zone, _ in placed} if len(placed) == len(others) else set(line.zones)
    run = _run(line.zones, line.zones.index(start), damaged)
    return {other for zone, other in placed if zone in run} if len(run) > 1 else set()


def _run(zones: tuple[ZoneId, ...], start: int, damaged: set[ZoneId]) -> set[ZoneId]:
    """Return the zones around ``start`` that follow one another without a gap in the damage."""
    first = last = start
    while first > 0 and zones[first - 1] in damaged:
        first -= 1
    while last + 1 < len(zones) and zones[last + 1] in damaged:
        last += 1
    return set(zones[first : last + 1])


def _agree(line: TravelLine, one: Seen, other: Seen) -> bool:
    if not line.is_lengthwise or one.facts.side is None or other.facts.side is None:
        return True
    return _OPPOSITE.get(one.facts.side) is not other.facts.side
