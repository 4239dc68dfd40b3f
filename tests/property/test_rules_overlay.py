"""Laws of a shop's overlay: whatever is accepted lowers nothing, and what loosens is refused."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from rules import Assessment, CaseFacts, Rulebook, RulebookError, RuleId, assess
from rules.proofs.overlay import prove_overlay
from rules.reading.overlay import read_overlay
from rules.reading.overlay_rules import STRICTER_IS_LOWER
from tests.property.rule_facts import BOOK, cases
from tests.property.shop_rows import (
    WHY,
    Row,
    Rows,
    milder_outcomes,
    overlays,
    shop_parts,
    toml_of,
    value_of,
)

ONE_FOLDER = settings(suppress_health_check=list(HealthCheck), max_examples=25)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shop")


def accepted(folder: Path, text: str) -> Rulebook | None:
    """Return the book with the overlay; None where a row or the proof refuses it."""
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    try:
        both = read_overlay(path, BOOK)
    except RulebookError:
        event("refused by a row")
        return None
    if prove_overlay(BOOK, both).faults:
        event("refused by the proof")
        return None
    event("accepted")
    return both


def covers(worse: Assessment, milder: Assessment) -> bool:
    return (
        worse.consequence <= milder.consequence
        and worse.likelihood <= milder.likelihood
        and worse.risk >= milder.risk
        and worse.hv_flag >= milder.hv_flag
        and worse.signal_word >= milder.signal_word
        and worse.disposition >= milder.disposition
        and {one.id for one in worse.actions} >= {one.id for one in milder.actions}
        and {one.id for one in worse.open_tests} >= {one.id for one in milder.open_tests}
        and {one.rule_id for one in worse.reasons} >= _ours_without_hv(milder)
    )


def _ours_without_hv(milder: Assessment) -> set[RuleId]:
    """Return the rules that must still fire; those for what is away from HV may give way."""
    return {
        one.rule_id
        for one in milder.reasons
        if (rule := BOOK.rules.get(one.rule_id)) and rule.selector.hv_runs_behind is not False
    }


@ONE_FOLDER
@given(rows=overlays(), facts=st.lists(cases(min_size=1), min_size=8, max_size=8))
def test_an_accepted_overlay_lowers_no_outcome(
    rows: Rows, facts: list[CaseFacts], folder: Path
) -> None:
    both = accepted(folder, toml_of(rows))
    if both is None:
        return
    for one in facts:
        before, after = assess(one, BOOK), assess(one, both)
        for milder, worse in zip(before.findings, after.findings, strict=True):
            assert covers(worse, milder)
        assert (after.risk or 0) >= (before.risk or 0)
        assert after.hv_flag >= before.hv_flag
        assert after.signal_word >= before.signal_word
        assert after.quarantine.level >= before.quarantine.level
        assert after.transport.transport_class >= before.transport.transport_class
        assert {a.id for a in after.actions} >= {a.id for a in before.actions}
        assert {t.id for t in after.open_tests} >= {t.id for t in before.open_tests}


@ONE_FOLDER
@given(
    part_row=shop_parts,
    rows=overlays(),
    facts=st.lists(cases(min_size=1), min_size=8, max_size=8),
)
def test_a_part_of_the_shop_is_never_judged_milder_than_its_model(
    part_row: Row, rows: Rows, facts: list[CaseFacts], folder: Path
) -> None:
    both = accepted(folder, toml_of({"component": [part_row], **rows}))
    if both is None:
        return
    [part] = [one for one in both.components.values() if one.like is not None]
    for one in facts:
        first = replace(one.findings[0], component=part.like or part.id)
        case = replace(one, findings=(first, *one.findings[1:]))
        shops = replace(case, findings=(replace(first, component=part.id), *one.findings[1:]))
        for milder, worse in zip(
            assess(case, BOOK).findings, assess(shops, both).findings, strict=True
        ):
            assert covers(worse, milder)


def refused(folder: Path, row: dict[str, object]) -> str:
    path = folder / "shop.toml"
    path.write_text(toml_of({"stricter": [{"id": "SHOP-001", **row, **WHY}]}), encoding="utf-8")
    with pytest.raises(RulebookError) as caught:
        read_overlay(path, BOOK)
    return str(caught.value)


@pytest.mark.parametrize("rule_id", [*BOOK.rules, *BOOK.stop_rules])
def test_no_outcome_of_a_row_of_ours_can_be_made_milder(rule_id: str, folder: Path) -> None:
    for _, name, word in [one for one in milder_outcomes() if one[0] == rule_id]:
        said = refused(folder, {"of": rule_id, "then": {name: word}})
        assert said.startswith(f"shop.toml, SHOP-001, then, {name}: "), (said, value_of(word))


@pytest.mark.parametrize("factor", [1.0, 1.01, 2.0])
@pytest.mark.parametrize(
    ("rule_id", "key"),
    [
        (rule.id, check.key)
        for rule in BOOK.rules.values()
        for check in rule.checks
        if check.question.has_limit
    ],
)
def test_no_limit_of_a_row_of_ours_can_be_widened(
    rule_id: str, key: str, factor: float, folder: Path
) -> None:
    [limit] = [one.limit for one in BOOK.rules[RuleId(rule_id)].checks if one.key == key]
    wider = limit * factor if STRICTER_IS_LOWER[key] else limit / factor
    said = refused(folder, {"of": rule_id, key: wider})
    assert said.startswith(f"shop.toml, SHOP-001, {key}: {wider:g} is not stricter than the "), said


GOOD = toml_of(
    {
        "source": [
            {
                "id": "shop_memo",
                "title": "Memo",
                "publisher": "Invented Body Shop",
                "edition": "1",
                "status": "read",
            }
        ],
        "fact": [
            {
                "id": "shop_f1",
                "source": "shop_memo",
                "clause": "1",
                "says": "2 mm",
                "status": "read",
            }
        ],
        "component": [
            {
                "id": "shop_lid",
                "like": "air_guide",
                "label": "Tow-eye lid",
                "description": "A lid.",
                "zones": ["front_end"],
                "synonyms": ["towing flap"],
            }
        ],
        "rule": [
            {
                "id": "SHOP-001",
                "when": {"damage": ["dent"], "depth_mm_min": 4},
                "unknown": {"depth_mm_min": "met"},
                "then": {"likelihood": "A", "tests": ["maker_criterion"]},
                **WHY,
            }
        ],
        "stricter": [{"id": "SHOP-002", "of": "LIK-015", "length_mm_min": 5, **WHY}],
    }
)


def read_or_refused(folder: Path, content: bytes) -> None:
    path = folder / "shop.toml"
    path.write_bytes(content)
    try:
        read_overlay(path, BOOK)
    except RulebookError as error:
        said = str(error)
        assert "\n" not in said
        assert said.isprintable()
        assert len(said) <= 400
        assert said.startswith("shop.toml")


@settings(ONE_FOLDER, max_examples=150)
@given(
    place=st.integers(0, len(GOOD)),
    length=st.integers(0, 40),
    put=st.binary(max_size=6)
    | st.sampled_from([b"[", b"]", b"{", b'"', b"=", b"\n", b"nan", b"-1"]),
)
def test_a_spoiled_file_is_read_or_refused_in_one_line(
    place: int, length: int, put: bytes, folder: Path
) -> None:
    good = GOOD.encode()
    read_or_refused(folder, good[:place] + put + good[place + length :])


toml_values = st.recursive(
    st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=20)
    | st.sampled_from([float("0.5"), "SHOP-001", "shop_lid", "LIK-013", ""]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["id", "damage", "is_hv", "depth_mm_min", "x"]), inner)
    ),
    max_leaves=6,
)


@settings(ONE_FOLDER, max_examples=150)
@given(
    line=st.sampled_from([n for n, line in enumerate(GOOD.splitlines()) if " = " in line]),
    value=toml_values,
)
def test_any_value_in_any_field_is_read_or_refused_in_one_line(
    line: int, value: object, folder: Path
) -> None:
    lines = GOOD.splitlines()
    field = lines[line].split(" = ")[0]
    lines[line] = f"{field} = {value_of(value)}"
    read_or_refused(folder, "\n".join(lines).encode())
