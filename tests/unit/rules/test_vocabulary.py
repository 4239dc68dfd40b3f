"""A few letters of any trade word find the part or the damage, the likeliest first."""

import doctest

import pytest

from rules import vocabulary
from rules.vocabulary import search_components, search_damage_types
from tests.unit.rules.book import the_book


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("orange cable", "hv_cable"),
        ("Orange-Cable", "hv_cable"),
        ("hv ca", "hv_cable"),
        ("cable", "hv_cable"),
        ("plug", "hv_connector"),
        ("battery", "battery_enclosure"),
        ("pack", "battery_enclosure"),
        ("msd", "service_disconnect"),
        ("undertray", "under_shield_front"),
        ("under-tray", "under_shield_front"),
        ("skid", "skid_plate"),
        ("rocker", "side_sill"),
        ("tire", "tyre"),
        ("sway bar", "anti_roll_bar"),
        ("cradle", "front_subframe"),
        ("radia", "radiator"),
        ("motor mount", "drive_unit_mount_bracket"),
        ("mount motor", "drive_unit_mount_bracket"),
        ("  bolt ", "fasteners"),
        ("hv_cable_clip", "hv_cable_clip"),
        ("muffler", "exhaust"),
    ],
)
def test_a_trade_word_finds_its_part_first(text: str, first: str) -> None:
    assert search_components(the_book(), text)[0].id == first


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("rust", "corrosion"),
        ("scr", "scrape"),
        ("cut", "severed"),
        ("hole", "puncture"),
        ("bent", "deformation"),
        ("drip", "leak"),
        ("arc", "burn_or_arc_mark"),
        ("gone", "missing"),
        ("bulge", "swelling"),
        ("snapped", "fracture"),
    ],
)
def test_a_trade_word_finds_its_damage_first(text: str, first: str) -> None:
    assert search_damage_types(the_book(), text)[0].id == first


def test_every_part_and_damage_is_found_first_or_tied_by_its_own_name() -> None:
    for part in the_book().components.values():
        assert search_components(the_book(), part.label)[0] == part
    for damage in the_book().damage_types.values():
        assert search_damage_types(the_book(), damage.label)[0] == damage


def test_every_synonym_finds_its_part() -> None:
    for part in the_book().components.values():
        for synonym in part.synonyms:
            assert part in search_components(the_book(), synonym)


@pytest.mark.parametrize("text", ["", "   ", "\t"])
def test_no_text_gives_the_whole_book_in_its_order(text: str) -> None:
    assert search_components(the_book(), text) == tuple(the_book().components.values())
    assert search_damage_types(the_book(), text) == tuple(the_book().damage_types.values())


@pytest.mark.parametrize("text", ["zzz", "☂", "电缆", "!!"])
def test_what_fits_nothing_finds_nothing(text: str) -> None:
    assert search_components(the_book(), text) == ()
    assert search_damage_types(the_book(), text) == ()


def test_the_examples_in_the_docstrings_are_true() -> None:
    assert doctest.testmod(vocabulary) == doctest.TestResults(failed=0, attempted=6)
