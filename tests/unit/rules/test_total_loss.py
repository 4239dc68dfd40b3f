"""Total-loss rules are those of the table of facts, dated, with status, none of them a default."""

import json
import tomllib
from decimal import Decimal
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from rules import RulebookError, SourceStatus
from rules.reading.total_loss import read_total_loss
from rules.total_loss import TotalLossKind
from tests.unit.rules.book import the_book

PACKAGE_TABLES = Path(str(resources.files("rules") / "tables"))
_FACTS = Path(__file__).parents[2] / "data" / "facts_checks.json"
THRESHOLDS: dict[str, dict[str, Any]] = {  # Any: JSON
    row["id"]: row
    for row in json.loads(_FACTS.read_text(encoding="utf-8"))["checks"]
    if row["id"].startswith("TL-")
}


def test_every_percentage_is_the_published_one_with_its_source_and_status() -> None:
    """Against the table of facts, where each was read in a copy of the statute."""
    ours = {
        rule.id: rule
        for rule in the_book().total_loss.values()
        if rule.kind is TotalLossKind.PERCENTAGE
    }
    assert set(ours) == set(THRESHOLDS)
    for rule_id, row in THRESHOLDS.items():
        assert ours[rule_id].percent == Decimal(row["value"])
        assert ours[rule_id].authority == row["source"]
        assert ours[rule_id].status is SourceStatus.READ_IN_A_COPY
        assert row["basis"] == "secondary copy/summary"
        assert ours[rule_id].read_on.isoformat() == "2026-11-25"


def test_sources_that_conflict_are_shown_as_conflicting() -> None:
    rules = the_book().total_loss
    iowa = rules["TL-IA"]
    assert iowa.is_conflicting
    assert "CONFLICTING: other copies say 50 and 75 %" in iowa.words
    assert [rule.id for rule in rules.values() if rule.is_conflicting] == ["TL-IA"]


def test_a_rule_in_words_tells_source_status_and_day() -> None:
    words = the_book().total_loss["TL-NV"].words
    assert "65 %" in words
    assert "NRS 487.790 (read in a copy, 2026-11-25)" in words


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("percent = 65", "percent = 650", ["TL-NV, percent", "at most 200"]),
        ("others_say = [50, 75]", "others_say = [50, 70]", ["TL-IA, others_say", "repeats"]),
        ("others_say = [50, 75]", "others_say = []", ["TL-IA, others_say"]),
        ("read_on = 2026-11-25", 'read_on = "2026"', ["TL-00, read_on", "a date"]),
        ('kind = "formula"', 'kind = "formular"', ["TL-00, kind", "formular"]),
        ("percent = 60\n", "", ["TL-OK, percent", "missing"]),
    ],
)
def test_a_spoiled_rule_is_refused(old: str, new: str, said: list[str]) -> None:
    text = (PACKAGE_TABLES / "total_loss.toml").read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(RulebookError) as caught:
        read_total_loss(tomllib.loads(text.replace(old, new, 1)))
    assert [part for part in said if part not in str(caught.value)] == []
