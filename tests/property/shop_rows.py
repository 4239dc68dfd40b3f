"""Strategies for the rows of a shop's overlay, tightening and loosening alike, and their TOML."""

import json
from collections.abc import Mapping, Sequence

from hypothesis import strategies as st

from rules import Likelihood
from rules.condition import QUESTIONS
from rules.reading.judgements import DISPOSITIONS
from rules.reading.overlay_rules import STRICTER_IS_LOWER
from rules.reading.words import CONSEQUENCES, HV_FLAGS, SIGNAL_WORDS
from rules.rule import Outcome
from tests.property.rule_facts import BOOK, COMPONENTS, DAMAGES, ZONES

Row = Mapping[str, object]
Rows = Mapping[str, Sequence[Row]]

HEADER: Row = {"name": "Invented Body Shop", "revision": "1", "owner": "senior technician"}
WHY: Row = {
    "because": "So the shop has it.",
    "basis": "judgement",
    "no_example": "Made by a machine, a thousand at a time.",
}
_GROUPS = sorted({part.group for part in BOOK.components.values()})
_FAMILIES = sorted({damage.family for damage in BOOK.damage_types.values()})
_AWAY_PARTS = [part.id for part in BOOK.components.values() if not part.hv_runs_behind]
_AWAY_ZONES = [zone.id for zone in BOOK.zones.values() if not zone.hv_runs_here]
_limits = st.sampled_from([0.0, 0.4, 1.0, 2.0, 3.0, 5.0, 60.0, 250.0, 400.0, 1500.0, 4000.0])


def toml_of(rows: Rows) -> str:
    """Return the file: the header, and each section's rows in turn."""
    lines = ["[overlay]", *_fields(HEADER)]
    for section, found in rows.items():
        for row in found:
            lines += [f"[[{section}]]", *_fields(row)]
    return "\n".join(lines) + "\n"


def _fields(row: Row) -> list[str]:
    return [f"{key} = {value_of(value)}" for key, value in row.items()]


def value_of(value: object) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {value_of(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(value_of, value)) + "]"
    return json.dumps(value)


def _some(names: Sequence[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True)


outcomes = st.fixed_dictionaries(
    {"tests": _some(sorted(BOOK.open_tests))},
    optional={
        "consequence": st.sampled_from(sorted(CONSEQUENCES)),
        "likelihood": st.sampled_from([level.value for level in Likelihood][:-1]),
        "hv_flag": st.sampled_from(sorted(HV_FLAGS)),
        "disposition": st.sampled_from(sorted(DISPOSITIONS)),
        "signal_word": st.sampled_from(sorted(SIGNAL_WORDS)),
        "actions": _some(sorted(BOOK.actions)),
    },
)
_asked = st.fixed_dictionaries(
    {},
    optional={
        "component": _some(COMPONENTS),
        "group": _some(_GROUPS),
        "damage": _some(DAMAGES),
        "family": _some(_FAMILIES),
        "is_hv": st.booleans(),
        "hv_runs_behind": st.booleans(),
    }
    | {
        key: _limits if question.has_limit else st.just(value=True)
        for key, question in QUESTIONS.items()
    },
)


@st.composite
def rules(draw: st.DrawFn) -> Row:
    when = draw(_asked)
    unknown = {
        key: draw(st.sampled_from(["met", "met", *sorted(BOOK.rules)]))
        for key in when
        if key in QUESTIONS and QUESTIONS[key].may_be_unknown
    }
    row = {"when": when, "then": draw(outcomes), **WHY}
    return {**row, "unknown": unknown} if unknown else row


def _factors(key: str) -> list[float]:
    """Return by how much a limit is changed: three times stricter, once wider."""
    return [0.9, 0.5, 0.1, 1.1] if STRICTER_IS_LOWER[key] else [1.1, 1.5, 2.0, 0.9]


@st.composite
def stricter_rows(draw: st.DrawFn) -> Row:
    of = draw(st.sampled_from([*BOOK.rules, *BOOK.stop_rules]))
    row: dict[str, object] = {"of": of, **WHY}
    if of in BOOK.rules:
        for check in BOOK.rules[of].checks:
            if check.question.has_limit and draw(st.booleans()):
                row[check.key] = check.limit * draw(st.sampled_from(_factors(check.key)))
    then = draw(outcomes)
    if draw(st.integers(0, 3)):
        base = BOOK.rules[of].then if of in BOOK.rules else BOOK.stop_rules[of].then
        then = {name: word for name, word in then.items() if _is_worse(name, word, base)}
    return {**row, "then": then}


def _is_worse(name: str, word: object, base: Outcome) -> bool:
    if name not in _WORDS or getattr(base, name) is None:
        return True
    return word not in _no_worse(name, getattr(base, name), _WORDS[name])


shop_parts = st.fixed_dictionaries(
    {
        "id": st.just("shop_odd"),
        "like": st.sampled_from(COMPONENTS),
        "label": st.just("Oddment"),
        "description": st.just("A part that only this shop has met."),
        "zones": _some(ZONES),
        "synonyms": st.just(["oddlet"]),
    },
    optional={"hv_runs_behind": st.just(value=True)},
)
near_parts = st.fixed_dictionaries(
    {"component": st.sampled_from(_AWAY_PARTS), "because": st.just("We have met HV there.")}
)
near_zones = st.fixed_dictionaries(
    {"zone": st.sampled_from(_AWAY_ZONES), "because": st.just("We have met HV there.")}
)


@st.composite
def overlays(draw: st.DrawFn) -> Rows:
    """Return a few rows of one or more kinds; many of them loosen something."""
    judging = draw(st.lists(rules(), max_size=2)), draw(st.lists(stricter_rows(), max_size=2))
    ids = iter(range(1, 10))
    rows: dict[str, list[Row]] = {
        "near_hv_part": draw(st.lists(near_parts, max_size=1)),
        "near_hv_zone": draw(st.lists(near_zones, max_size=1)),
    }
    for section, found in zip(("rule", "stricter"), judging, strict=True):
        rows[section] = [{"id": f"SHOP-{next(ids):03}", **row} for row in found]
    return {section: found for section, found in rows.items() if found}


_WORDS: Mapping[str, Mapping[object, object]] = {
    "consequence": {level: word for word, level in CONSEQUENCES.items()},
    "likelihood": {level: level.value for level in Likelihood},
    "hv_flag": {level: word for word, level in HV_FLAGS.items()},
    "disposition": {level: word for word, level in DISPOSITIONS.items()},
    "signal_word": {level: word for word, level in SIGNAL_WORDS.items()},
}
_LOW_IS_WORSE = {"consequence", "likelihood"}


def milder_outcomes() -> list[tuple[str, str, object]]:
    """Return every outcome of every row of ours, each with every word that is no worse."""
    outcomes_of = {rule.id: rule.then for rule in BOOK.rules.values()}
    outcomes_of |= {stop.id: stop.then for stop in BOOK.stop_rules.values()}
    return [
        (rule_id, name, word)
        for rule_id, then in outcomes_of.items()
        for name, words in _WORDS.items()
        for word in _no_worse(name, getattr(then, name), words)
    ]


def _no_worse(name: str, level: object, words: Mapping[object, object]) -> list[object]:
    if level is None:
        return []
    from_worst = sorted(words, reverse=name not in _LOW_IS_WORSE)  # type: ignore[type-var]  # of one kind
    return [words[other] for other in from_worst[from_worst.index(level) :]]
