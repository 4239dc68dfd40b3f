"""Two answers side by side, what is different between them, and why."""

from collections.abc import Iterable
from html import escape

from rules import (
    Assessment,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    Quarantine,
    Risk,
    SignalWord,
    TransportClass,
)
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import FindingId
from triage_app.domain.what_changed import Changes, Level, LevelChange, LevelName
from triage_app.services.triage import WhatIf
from triage_app.ui import what_if_text as said
from triage_app.ui import words
from triage_app.ui.names import finding_name
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html


def answer_html(case: Case, finding: Finding, answer: WhatIf) -> str:
    """Return the comparison of one finding, and what it would change elsewhere."""
    before, after = answer.before.of(finding.id), answer.after.of(finding.id)
    own = [one for one in answer.changes if one.finding_id == finding.id]
    changed = {level.what: level for one in own for level in one.levels}
    rows = "".join(
        _row(what, was, becomes, changed.get(what))
        for (what, was), (_, becomes) in zip(_levels(before), _levels(after), strict=True)
        if was is not None or becomes is not None
    )
    head = "".join(f"<th>{escape(one)}</th>" for one in (said.WHAT, said.AS_IT_IS, said.IF_SO))
    return (
        f'<div class="ub-scroll"><table class="ub-table ub-compare"><thead><tr>{head}</tr></thead>'
        f'<tbody>{rows}</tbody></table></div><div class="ub-answer">'
        + ("" if answer.changes else f"<p><b>{escape(said.SAME)}</b></p>")
        + _reasons(own)
        + _elsewhere(case, finding, answer)
        + "</div>"
    )


def _levels(answer: Assessment) -> list[tuple[LevelName, Level | None]]:
    rest = answer.residual
    return [
        (LevelName.RISK, answer.risk),
        (LevelName.HV_FLAG, answer.hv_flag),
        (LevelName.CONSEQUENCE, answer.consequence),
        (LevelName.LIKELIHOOD, answer.likelihood),
        (LevelName.DISPOSITION, answer.disposition),
        (LevelName.RESIDUAL_RISK, rest.risk if rest else None),
        (LevelName.RESIDUAL_LIKELIHOOD, rest.likelihood if rest else None),
        (LevelName.RESIDUAL_DISPOSITION, rest.disposition if rest else None),
    ]


def _row(
    what: LevelName, was: Level | None, becomes: Level | None, change: LevelChange | None
) -> str:
    css = ' class="ub-changed"' if change else ""
    how = ""
    if change:
        word = {True: said.WORSE, False: said.MILDER, None: said.DIFFERENT}[change.is_worse]
        how = f" <b>{escape(word)}</b>"
    return (
        f"<tr{css}><th>{escape(said.LEVELS[what])}</th><td>{level_html(was)}</td>"
        f"<td>{level_html(becomes)}{how}</td></tr>"
    )


def level_html(level: Level | None) -> str:
    """Return a level as it is shown everywhere: risk and flag by word, pattern and colour."""
    match level:
        case None:
            return escape(said.NONE)
        case Risk():
            return risk_badge_html(level)
        case HvFlag():
            return hv_chip_html(level)
        case _:
            return escape(level_words(level))


def level_words(level: Level | None) -> str:
    """Return a level in words alone."""
    match level:
        case Risk() | Quarantine() | TransportClass():
            return level.name.replace("_", " ").capitalize()
        case HvFlag():
            return words.HV_FLAGS[level]
        case Consequence():
            return f"{level.value} {words.CONSEQUENCES[level]}"
        case Likelihood():
            return f"{level.value} {words.LIKELIHOODS[level]}"
        case Disposition():
            return words.DISPOSITIONS[level]
        case SignalWord():
            return words.SIGNAL_WORDS[level]
        case None:
            return said.NONE


def _reasons(changes: Iterable[Changes]) -> str:
    groups = ""
    for change in (change for one in changes for change in one.lists):
        for titles, entries in ((said.ADDED, change.added), (said.DROPPED, change.dropped)):
            items = "".join(f"<li>{escape(item.text)}{_rule_id(item.id)}</li>" for item in entries)
            if items:
                groups += f"<p><b>{escape(titles[change.what])}</b></p><ul>{items}</ul>"
    return f"<h4>{escape(said.WHY)}</h4>{groups}" if groups else ""


def _rule_id(item_id: str) -> str:
    """Return the id of a rule; actions, tests and records go by their text alone."""
    is_rule = "-" in item_id and item_id.replace("-", "").isalnum() and item_id.isupper()
    return f" <code>{escape(item_id)}</code>" if is_rule else ""


def _elsewhere(case: Case, finding: Finding, answer: WhatIf) -> str:
    names = []
    for one in answer.changes:
        if one.finding_id in (None, finding.id) or not one.levels:
            continue
        other = case.finding(FindingId(str(one.finding_id)))
        levels = ", ".join(_in_words(level) for level in one.levels)
        names.append(f"{finding_name(other)} ({levels})")
    whole = [level for one in answer.changes if one.finding_id is None for level in one.levels]
    if whole:
        names.append(f"{said.CASE} ({', '.join(map(_in_words, whole))})")
    return f"<p>{escape(said.others(names))}</p>" if names else ""


def _in_words(change: LevelChange) -> str:
    return (
        f"{said.LEVELS[change.what].lower()}: {level_words(change.before)} → "
        f"{level_words(change.after)}"
    )
