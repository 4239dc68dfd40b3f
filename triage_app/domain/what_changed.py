"""Two answers of the rules side by side: a plain list of what is different."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from rules import (
    Action,
    Assessment,
    CaseAssessment,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    OpenTest,
    Quarantine,
    Reason,
    Residual,
    Risk,
    SignalWord,
    TransportClass,
)

Level = (
    Consequence
    | Likelihood
    | Risk
    | HvFlag
    | SignalWord
    | Disposition
    | Quarantine
    | TransportClass
)


class LevelName(StrEnum):
    """What of an answer is a level. RESIDUAL is what remains after accepted records."""

    RISK = "risk"
    HV_FLAG = "HV flag"
    SIGNAL_WORD = "signal word"
    CONSEQUENCE = "consequence"
    LIKELIHOOD = "likelihood"
    DISPOSITION = "repair needed"
    QUARANTINE = "quarantine"
    TRANSPORT_CLASS = "transport class"
    RESIDUAL_RISK = "residual risk"
    RESIDUAL_LIKELIHOOD = "residual likelihood"
    RESIDUAL_DISPOSITION = "residual repair needed"


class ListName(StrEnum):
    """What of an answer is a list."""

    STOP_CONDITIONS = "stop conditions"
    HV_REASONS = "reasons for the HV flag"
    ACTIONS = "required actions"
    OPEN_TESTS = "outstanding tests"
    RULES = "rules that fire"
    RESIDUAL_RULES = "rules of evidence that count"
    RESIDUAL_TESTS = "tests still outstanding after the records"
    RECORDS = "records that count"


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelChange:
    """A level before and after; None where there is no such answer (no finding, no record)."""

    what: LevelName
    before: Level | None
    after: Level | None

    @property
    def is_worse(self) -> bool | None:
        """True when it got worse, False when milder, None where that cannot be said.

        A repair needed is neither: more work is no greater hazard.
        """
        before, after = _badness(self.before), _badness(self.after)
        return None if before is None or after is None else after > before


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One entry of a list, such as an action: its id in the book, and its text."""

    id: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListChange:
    """What came to a list and what went from it."""

    what: ListName
    added: tuple[Item, ...]
    dropped: tuple[Item, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What is different about one finding, or about the whole case (``finding_id`` None)."""

    finding_id: str | None
    levels: tuple[LevelChange, ...]
    lists: tuple[ListChange, ...]


def changes_between(
    before: CaseAssessment,
    after: CaseAssessment,
    *,
    records_before: Iterable[Item] = (),
    records_after: Iterable[Item] = (),
) -> tuple[Changes, ...]:
    """Return what differs, the case first, then its findings; nothing where all is the same.

    Both answers are about the same findings.
    """
    lists_before = _lists_of_case(before) | {ListName.RECORDS: tuple(records_before)}
    lists_after = _lists_of_case(after) | {ListName.RECORDS: tuple(records_after)}
    case = Changes(
        finding_id=None,
        levels=_levels(_levels_of_case(before), _levels_of_case(after)),
        lists=_lists(
            lists_before,
            lists_after,
            has_records=before.residual_risk is not None or after.residual_risk is not None,
        ),
    )
    findings = (_of_one(one, after.of(one.finding_id)) for one in before.findings)
    return tuple(one for one in (case, *findings) if one.levels or one.lists)


def _of_one(before: Assessment, after: Assessment) -> Changes:
    has_records = before.residual or after.residual
    return Changes(
        finding_id=before.finding_id,
        levels=_levels(_levels_of(before), _levels_of(after)),
        lists=_lists(_lists_of(before), _lists_of(after), has_records=bool(has_records)),
    )


_Levels = Mapping[LevelName, Level | None]
_Lists = Mapping[ListName, tuple[Item, ...]]


def _levels(before: _Levels, after: _Levels) -> tuple[LevelChange, ...]:
    return tuple(
        LevelChange(what=what, before=before[what], after=after[what])
        for what in before
        if before[what] is not after[what]
    )


def _lists(before: _Lists, after: _Lists, *, has_records: bool) -> tuple[ListChange, ...]:
    found = (
        ListChange(
            what=what,
            added=tuple(item for item in after[what] if item not in before[what]),
            dropped=tuple(item for item in before[what] if item not in after[what]),
        )
        for what in before
        if has_records or what is not ListName.RESIDUAL_TESTS  # then as the outstanding tests
    )
    return tuple(one for one in found if one.added or one.dropped)


def _levels_of(answer: Assessment) -> dict[LevelName, Level | None]:
    rest = answer.residual
    return {
        LevelName.RISK: answer.risk,
        LevelName.HV_FLAG: answer.hv_flag,
        LevelName.SIGNAL_WORD: answer.signal_word,
        LevelName.CONSEQUENCE: answer.consequence,
        LevelName.LIKELIHOOD: answer.likelihood,
        LevelName.DISPOSITION: answer.disposition,
        LevelName.RESIDUAL_RISK: rest.risk if rest else None,
        LevelName.RESIDUAL_LIKELIHOOD: rest.likelihood if rest else None,
        LevelName.RESIDUAL_DISPOSITION: rest.disposition if rest else None,
    }


def _levels_of_case(answer: CaseAssessment) -> dict[LevelName, Level | None]:
    return {
        LevelName.RISK: answer.risk,
        LevelName.HV_FLAG: answer.hv_flag,
        LevelName.SIGNAL_WORD: answer.signal_word,
        LevelName.QUARANTINE: answer.quarantine.level,
        LevelName.TRANSPORT_CLASS: answer.transport.transport_class,
        LevelName.RESIDUAL_RISK: answer.residual_risk,
    }


def _lists_of(answer: Assessment) -> dict[ListName, tuple[Item, ...]]:
    rest: Residual | None = answer.residual
    return {
        ListName.HV_REASONS: _rules(answer.hv_reasons),
        ListName.ACTIONS: _texts(answer.actions),
        ListName.OPEN_TESTS: _texts(answer.open_tests),
        ListName.RULES: _rules(answer.reasons),
        ListName.RESIDUAL_RULES: _rules(rest.reasons if rest else ()),
        # Without a record every test that was asked for is still outstanding.
        ListName.RESIDUAL_TESTS: _texts(rest.open_tests if rest else answer.open_tests),
    }


def _lists_of_case(answer: CaseAssessment) -> dict[ListName, tuple[Item, ...]]:
    has_rest = answer.residual_risk is not None
    return {
        ListName.STOP_CONDITIONS: _rules(answer.stop_conditions),
        ListName.ACTIONS: _texts(answer.actions),
        ListName.OPEN_TESTS: _texts(answer.open_tests),
        ListName.RESIDUAL_TESTS: _texts(
            answer.residual_open_tests if has_rest else answer.open_tests
        ),
    }


def _rules(reasons: Iterable[Reason]) -> tuple[Item, ...]:
    return tuple(dict.fromkeys(Item(id=one.rule_id, text=one.because) for one in reasons))


def _texts(entries: Iterable[Action | OpenTest]) -> tuple[Item, ...]:
    return tuple(Item(id=one.id, text=one.text) for one in entries)


def _badness(level: Level | None) -> int | None:
    if level is None or isinstance(level, Disposition):
        return None
    if isinstance(level, Likelihood):
        return -ord(level.value)
    return -level if isinstance(level, Consequence) else int(level)
