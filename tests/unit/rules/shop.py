"""A shop's file in a few words: a header, the rows that a test is about, and their examples."""

from pathlib import Path

import pytest

from rules import Rulebook, RulebookError
from rules.loader import lay_over
from tests.unit.rules.book import the_book

HEADER = """
[overlay]
name = "Invented Body Shop"
revision = "3"
owner = "senior technician, agreed 2025-01-15"
"""

DENT = """
[[stricter]]
id = "SHOP-001"
of = "LIK-013"
depth_mm_min = 2
because = "We take a dent of 2 mm for more than a mark."
basis = "judgement"
"""

DENT_EXAMPLE = (
    """
[[example]]
rule = "SHOP-001"
hit = { component = "front_subframe", damage = "dent", depth_mm = 2 }
miss = { component = "front_subframe", damage = "dent", depth_mm = 1.9 }
"""
    'expect = { consequence = "critical", likelihood = "C", risk = "serious", hv_flag = "at HV", '
    'signal_word = "warning", disposition = "test first" }\n'
)

LID = """
[[component]]
id = "shop_tow_eye_lid"
like = "air_guide"
label = "Tow-eye lid"
description = "Plastic lid over the towing eye."
zones = ["front_end", "rear_end"]
synonyms = ["towing flap"]
"""

GOOD = HEADER + LID + DENT + DENT_EXAMPLE


def written(folder: Path, text: str) -> Path:
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return path


def loaded(folder: Path, text: str) -> Rulebook:
    return lay_over(the_book(), written(folder, text))


def refusal(folder: Path, text: str) -> str:
    """Return the sentence with which the file is refused; one line that begins with its name."""
    with pytest.raises(RulebookError) as caught:
        lay_over(the_book(), written(folder, text))
    said = str(caught.value)
    assert "\n" not in said
    assert said.startswith(("shop.toml, ", "shop.toml: "))
    return said


RULE = """
[[rule]]
id = "SHOP-002"
when = {{ {when} }}
then = {{ {then} }}
because = "We have seen it go wrong."
basis = "judgement"
no_example = "{why}"
"""
NO_EXAMPLE = "Shown by the test that made it."


def a_rule(when: str, then: str, more: str = "") -> str:
    return RULE.format(when=when, then=then, why=NO_EXAMPLE) + more


def stricter(of: str, change: str) -> str:
    return (
        f'[[stricter]]\nid = "SHOP-009"\nof = "{of}"\n{change}\nbecause = "So we say."\n'
        f'basis = "judgement"\nno_example = "{NO_EXAMPLE}"\n'
    )


def a_part(**changed: str) -> str:
    fields = {
        "id": '"shop_part"',
        "like": '"air_guide"',
        "label": '"Odd lid"',
        "description": '"A lid."',
        "zones": '["front_end"]',
        "synonyms": '["odd flap"]',
        **changed,
    }
    return "[[component]]\n" + "".join(f"{key} = {value}\n" for key, value in fields.items())


def a_damage(**changed: str) -> str:
    fields = {
        "id": '"shop_harm"',
        "like": '"scrape"',
        "label": '"Lane-marking rub"',
        "description": '"Paint of the road on the part."',
        "synonyms": '["road paint"]',
        **changed,
    }
    return "[[damage_type]]\n" + "".join(f"{key} = {value}\n" for key, value in fields.items())


def an_action(**changed: str) -> str:
    fields = {
        "id": '"shop_do"',
        "order": "455",
        "text": '"Do it."',
        "is_safing": "false",
        "signal_word": '"notice"',
        **changed,
    }
    return "[[action]]\n" + "".join(f"{key} = {value}\n" for key, value in fields.items())


def names(component: str, name: str) -> str:
    return f'[[component_names]]\ncomponent = "{component}"\nadd = ["{name}"]\n'
