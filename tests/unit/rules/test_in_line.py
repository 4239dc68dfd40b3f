"""Which findings lie along one line of travel, and what that does."""

import pytest

from rules import Facts, RuleId, Side
from tests.unit.rules.book import a_finding, judge_case, the_book

DRIVE_UNIT = {"component": "front_drive_unit", "damage": "scrape"}


def others(*places: tuple[str | None, Side | None]) -> tuple[Facts, ...]:
    """Return gouges in these zones and on these sides; a zone of None is not said."""
    return tuple(
        a_finding(
            "body_floor",
            "gouge",
            finding_id=str(number),
            side=side,
            **({} if zone is None else {"zone": zone}),
        )
        for number, (zone, side) in enumerate(places, start=2)
    )


def is_in_line(one: Facts, *places: tuple[str | None, Side | None]) -> bool:
    found = judge_case(one, *others(*places)).of("1")
    return RuleId("CMB-011") in {reason.rule_id for reason in found.reasons}


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ([("front_end", None), ("battery_front", None)], True),
        ([("battery_front", None), ("battery_mid", None)], True),
        ([("front_left", None), ("front_right", None)], True),
        ([("front_centre", None), ("front_end", None)], True),
        ([("front_end", None)], False),
        ([("front_centre", None), ("front_centre", None)], False),
        ([("front_end", None), ("battery_mid", None)], False),
        ([("rear_centre", None), ("rear_end", None)], False),
        ([(None, None), ("battery_mid", None)], True),
        ([(None, None), (None, None)], True),
    ],
    ids=[
        "before and behind",
        "two behind",
        "across the front axle",
        "one beside it, one before",
        "only one other",
        "all in one zone",
        "a gap between",
        "far away",
        "one nobody placed fills the gap",
        "none of them placed",
    ],
)
def test_marks_in_line_follow_one_another_without_a_gap(
    places: list[tuple[str | None, Side | None]], *, expected: bool
) -> None:
    one = a_finding("front_drive_unit", "scrape", zone="front_centre")
    assert is_in_line(one, *places) is expected


def test_a_finding_that_nobody_placed_is_in_line_with_all() -> None:
    one = a_finding("front_drive_unit", "scrape")
    assert is_in_line(one, ("front_end", None), ("rear_end", None))


@pytest.mark.parametrize(
    ("side", "other", "expected"),
    [
        (Side.LEFT, Side.LEFT, True),
        (Side.LEFT, Side.CENTRE, True),
        (Side.CENTRE, Side.RIGHT, True),
        (None, Side.RIGHT, True),
        (Side.LEFT, None, True),
        (Side.LEFT, Side.RIGHT, False),
        (Side.RIGHT, Side.LEFT, False),
    ],
    ids=str,
)
def test_left_and_right_are_not_in_one_lengthwise_line(
    side: Side | None, other: Side | None, *, expected: bool
) -> None:
    one = a_finding("front_drive_unit", "scrape", zone="front_centre", side=side)
    assert is_in_line(one, ("front_end", other), ("battery_front", other)) is expected


def test_across_an_axle_left_and_right_are_in_one_line() -> None:
    one = a_finding("front_drive_unit", "scrape", zone="front_centre", side=Side.LEFT)
    assert is_in_line(one, ("front_left", Side.LEFT), ("front_right", Side.RIGHT))


def test_the_reason_names_every_finding_in_line() -> None:
    one = a_finding("front_drive_unit", "scrape", zone="front_centre")
    case = judge_case(
        one, *others(("front_end", None), ("battery_front", None), ("rear_end", None))
    )
    [reason] = [r for r in case.of("1").reasons if r.rule_id == "CMB-011"]
    assert reason.with_findings == ("2", "3")


def test_a_drawn_line_counts_where_one_was_drawn() -> None:
    def likelihood(*, on_line: bool | None) -> str:
        one = a_finding("front_drive_unit", "scrape", zone="front_centre", on_impact_line=on_line)
        return judge_case(one).of("1").likelihood

    assert [likelihood(on_line=answer) for answer in (True, None, False)] == ["C", "D", "D"]


def test_every_zone_lies_on_a_line_and_each_line_runs_over_zones_that_touch() -> None:
    words = the_book().vocabulary
    assert all(words.lines_through(zone) for zone in words.zones)
    for line in words.travel_lines:
        pairs = zip(line.zones, line.zones[1:], strict=False)
        assert all(other in words.zones[one].adjacent for one, other in pairs)


def test_a_reason_names_the_hv_parts_behind_a_guard() -> None:
    shield = judge_case(a_finding("drive_unit_shield", "scrape", zone="front_centre")).of("1")
    [why] = [reason for reason in shield.hv_reasons if reason.rule_id == "HVF-002"]
    assert "behind or beside it: Front drive unit, Rear drive unit, Inverter, HV cable" in why.facts


def test_every_part_before_hv_names_what_lies_behind_and_every_name_is_hv() -> None:
    parts = the_book().components
    for part in parts.values():
        before_hv = part.hv_runs_behind and not part.is_hv and part.group != "unknown"
        assert bool(part.behind) is before_hv
        assert all(parts[other].is_hv for other in part.behind)
