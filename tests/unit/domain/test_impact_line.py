"""The line of impact: what it touches, and that it never clears anything."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rules import Side, ZoneId, assess, load_rulebook
from tests.builders import SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.domain.case import Case, Tags
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.findings import case_facts, lies_on_impact_line
from triage_app.domain.impact_line import ImpactLine
from triage_app.domain.photo_commands import DrawImpactLine, SayNothingFound
from triage_app.domain.plan_view import PLAN_ZONES

LEFT_SIDE = ImpactLine(
    start_x_frac=0.3, start_y_frac=0.0, end_x_frac=0.3, end_y_frac=1.0, signed=SIGNED
)


@pytest.mark.parametrize(
    ("zone", "side", "is_on"),
    [
        ("battery_mid", None, True),
        ("battery_mid", Side.LEFT, True),
        ("battery_mid", Side.RIGHT, False),
        ("front_left", None, True),  # 0.27 + 0.08 reaches the line at 0.3
        ("front_right", None, False),
        ("sill_right", Side.RIGHT, False),
        (None, None, False),
    ],
)
def test_a_line_touches_what_lies_within_an_objects_reach(
    zone: str | None, side: Side | None, *, is_on: bool
) -> None:
    assert LEFT_SIDE.touches(ZoneId(zone) if zone else None, side) is is_on


def test_a_line_that_ends_before_a_zone_does_not_touch_it() -> None:
    short = replace(LEFT_SIDE, end_y_frac=0.2)
    assert short.touches(ZoneId("front_centre"), None)
    assert not short.touches(ZoneId("battery_front"), None)


@pytest.mark.parametrize("ends", [((0.5, 0.5), (0.5, 0.51)), ((0.5, 0.5), (1.2, 0.5))])
def test_a_point_or_a_line_off_the_drawing_is_refused(
    ends: tuple[tuple[float, float], tuple[float, float]],
) -> None:
    with pytest.raises(InvalidInputError):
        DrawImpactLine(start=ends[0], end=ends[1]).apply(a_case(), SIGNED)


def test_drawing_the_same_line_again_changes_nothing_and_it_can_be_taken_off() -> None:
    draw = DrawImpactLine(start=(0.3, 0.0), end=(0.3, 1.0))
    drawn = draw.apply(a_case(), SIGNED)
    assert drawn.impact_line == LEFT_SIDE
    assert draw.apply(drawn, SIGNED) is drawn
    assert DrawImpactLine(start=None, end=None).apply(drawn, SIGNED).impact_line is None


def test_beside_the_line_nothing_is_known_rather_than_cleared() -> None:
    off = a_finding(tags=Tags(zone=ZoneId("sill_right"), side=Side.RIGHT))
    case = replace(a_case(off), impact_line=LEFT_SIDE)
    assert lies_on_impact_line(case, off) is None


BOOK = load_rulebook()
_COMPONENTS = st.sampled_from(sorted(BOOK.components))
_DAMAGES = st.sampled_from(sorted(BOOK.damage_types))
_ZONES = st.none() | st.sampled_from([one.zone for one in PLAN_ZONES])
_FRACTIONS = st.floats(0, 1)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    findings = tuple(
        a_finding(
            number,
            tags=replace(
                some_tags(draw(_COMPONENTS), draw(_DAMAGES)),
                zone=draw(_ZONES),
                side=draw(st.none() | st.sampled_from(Side)),
            ),
        )
        for number in range(1, draw(st.integers(1, 4)) + 1)
    )
    return a_case(*findings)


@settings(max_examples=40, deadline=None)
@given(cases(), _FRACTIONS, _FRACTIONS)
def test_a_line_never_lowers_a_finding(case: Case, start: float, end: float) -> None:
    line = DrawImpactLine(start=(start, 0.0), end=(end, 1.0))
    before = assess(case_facts(case, BOOK.components), BOOK)
    after = assess(case_facts(line.apply(case, SIGNED), BOOK.components), BOOK)
    for finding in case.findings:
        old, new = before.of(finding.id), after.of(finding.id)
        assert new.risk >= old.risk
        assert new.hv_flag >= old.hv_flag
        assert {why.rule_id for why in old.reasons} <= {why.rule_id for why in new.reasons}


def test_a_scrape_on_a_drive_unit_on_the_line_is_tested_first() -> None:
    """As rule LIK-046's own example says: without the line it is no more than a scrape."""
    tags = replace(some_tags("front_drive_unit", "scrape"), zone=ZoneId("front_centre"))
    case = a_case(a_finding(tags=tags))
    line = DrawImpactLine(start=(0.5, 0.0), end=(0.5, 1.0)).apply(case, SIGNED)
    answers = [assess(case_facts(one, BOOK.components), BOOK) for one in (case, line)]
    fired = [{why.rule_id for why in one.of(case.findings[0].id).reasons} for one in answers]
    assert "LIK-046" not in fired[0]
    assert {"LIK-046", "REP-018"} <= fired[1]


PHOTO, OTHER = a_photo(), a_photo(2)


def test_photos_still_to_look_at_are_those_with_neither_mark_nor_word() -> None:
    case = a_case(a_finding(marks=(a_mark(photo=PHOTO),)), photos=(PHOTO, OTHER))
    assert case.photos_to_look_at == (OTHER,)
    said = SayNothingFound(photo_id=OTHER.id, is_so=True).apply(case, SIGNED)
    assert said.photos_to_look_at == ()
    assert said.photo(OTHER.id).nothing_found == SIGNED
    back = SayNothingFound(photo_id=OTHER.id, is_so=False).apply(said, SIGNED)
    assert back.photos_to_look_at == (OTHER,)


def test_nobody_says_nothing_of_a_photo_with_a_mark() -> None:
    case = a_case(a_finding(marks=(a_mark(photo=PHOTO),)), photos=(PHOTO,))
    with pytest.raises(InvalidInputError, match="a mark on this photo"):
        SayNothingFound(photo_id=PHOTO.id, is_so=True).apply(case, SIGNED)
