"""What values are called in the report, and what is said where there is none."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest

from rules import ComponentId, DamageId, Disposition, HvFlag, Risk, Side, ZoneId
from tests.builders import a_case, a_finding, a_photo, some_tags
from tests.unit.report.material import a_rulebook
from triage_app.domain.case import Measures, Tags
from triage_app.report import labels


@pytest.mark.parametrize(
    ("value", "shown"),
    [(12.0, "12"), (3.5, "3.5"), (1250, "1,250"), (0.0, "0"), (Decimal("21500.00"), "21,500")],
)
def test_numbers_have_no_needless_digits(value: float, shown: str) -> None:
    assert labels.number(value) == shown


@pytest.mark.parametrize(
    ("measures", "shown"),
    [
        (Measures(), "not measured; counts as near"),
        (
            Measures(distance_to_hv_mm=120),
            "120 mm, uncertainty not recorded; covers on or off not recorded, so it does not count",
        ),
        (
            Measures(distance_to_hv_mm=120, distance_uncertainty_mm=15, covers_off=True),
            "120 mm ± 15 mm (95 %); measured with covers off",
        ),
        (
            Measures(distance_to_hv_mm=0, distance_uncertainty_mm=0, covers_off=False),
            "0 mm ± 0 mm (95 %); measured with covers on, so it does not count",
        ),
    ],
    ids=["absent", "bare", "full", "covers on"],
)
def test_a_distance_comes_with_all_that_qualifies_it(measures: Measures, shown: str) -> None:
    assert labels.distance(a_finding(tags=some_tags(measures=measures))) == shown


def test_a_size_that_was_not_measured_is_never_zero() -> None:
    assert labels.sizes(a_finding(tags=some_tags(measures=Measures(length_mm=40)))) == (
        "Length 40 mm; width not measured; depth not measured"
    )


def test_a_part_that_is_not_identified_says_so() -> None:
    assert labels.component_label(Tags(), a_rulebook()) == "Part not identified"
    assert labels.damage_label(Tags(), a_rulebook()) == "damage not identified"
    assert labels.is_unidentified(some_tags("hv_cable", None))
    assert labels.is_unidentified(some_tags(None, "severed"))
    assert not labels.is_unidentified(some_tags())


def test_words_that_the_rule_book_no_longer_has_are_shown_as_they_were_stored() -> None:
    tags = Tags(component=ComponentId("old_part"), damage=DamageId("old_damage"))

    assert labels.component_label(tags, a_rulebook()) == "old_part (not in this rule book)"
    assert labels.damage_label(tags, a_rulebook()) == "old_damage (not in this rule book)"


def test_a_place_says_what_was_not_recorded() -> None:
    book = a_rulebook()
    zone = Tags(zone=ZoneId("battery_front"))

    assert labels.place_label(Tags(), book) == "Zone not recorded, side not recorded"
    assert labels.place_label(replace(zone, side=Side.LEFT), book) == "Battery area, front, left"
    assert labels.known_place(Tags(), book) == ""
    assert labels.known_place(zone, book) == ", battery area, front"


@pytest.mark.parametrize(
    ("text", "expected"), [("Severed", "severed"), ("HV cable", "HV cable"), ("", ""), ("A", "A")]
)
def test_abbreviations_keep_their_capitals(text: str, expected: str) -> None:
    assert labels.lower_first(text) == expected


def test_moments_are_given_in_utc_whatever_zone_they_came_in() -> None:
    at = datetime(2031, 5, 4, 1, 30, tzinfo=timezone(timedelta(hours=2)))

    assert labels.moment(at) == "3 May 2031, 23:30 UTC"
    assert labels.moment(datetime(2031, 12, 24, 9, 5, tzinfo=UTC)) == "24 December 2031, 09:05 UTC"


def test_a_photo_without_a_time_says_so() -> None:
    assert labels.camera_time(None) == "no time in the file"


@pytest.mark.parametrize(
    ("numbers", "shown"),
    [
        ([], ""),
        ([4], "4"),
        ([2, 1], "1 and 2"),
        ([1, 2, 3, 7, 9, 10], "1 to 3, 7, 9 and 10"),
        ([5, 6, 7, 8], "5 to 8"),
    ],
)
def test_numbers_in_a_row_are_drawn_together(numbers: list[int], shown: str) -> None:
    assert labels.numbers_listed(numbers) == shown


def test_every_level_has_its_words_and_colours() -> None:
    assert set(labels.RISK_SQUARES) == set(Risk)
    assert set(labels.HV_FLAG_WORDS) == set(labels.HV_FLAG_SHORT) == set(HvFlag)
    assert set(labels.DISPOSITION_WORDS) == set(Disposition)
    for risk in Risk:
        assert labels.RISK_SQUARES[risk].count("■") == risk
        assert len(labels.risk_tone(risk).fill) == 6


def test_a_fact_without_words_of_its_own_is_still_readable() -> None:
    assert labels.fact_words("distance_to_hv_mm") == "the distance to the nearest HV part"
    assert labels.fact_words("something_new") == "something new"


def test_photo_names_have_as_many_digits_as_the_case_needs() -> None:
    few = a_case(photos=(a_photo(1), a_photo(2)))
    many = a_case(photos=tuple(a_photo(number) for number in range(1, 121)))

    assert list(labels.photo_names(few).values()) == ["01", "02"]
    assert next(iter(labels.photo_names(many).values())) == "001"


def test_a_name_of_unreasonable_length_is_cut_on_one_line() -> None:
    assert labels.shown_name("a\nb") == "a b"
    assert len(labels.shown_name("x" * 500)) == 120
