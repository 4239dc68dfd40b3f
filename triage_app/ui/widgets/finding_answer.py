"""What the rules say of one finding: the two answers, what has to be done, then why."""

from collections.abc import Iterable
from html import escape

from rules import Assessment, Reason
from triage_app.domain.case import Case
from triage_app.ui import text, words
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.widgets.why_panel import why_html


def chips_html(answer: Assessment) -> str:
    """Return risk and HV flag, each by word, pattern and colour."""
    return f'<p class="ub-chips">{risk_badge_html(answer.risk)}{hv_chip_html(answer.hv_flag)}</p>'


def answer_html(case: Case, answer: Assessment) -> str:
    """Return the two answers and the deciding reasons; short enough beside a photo."""
    return (
        f'<div class="ub-answer">{_two_answers(answer)}'
        f"{_list(text.WHY_HV, _lines(answer.hv_reasons))}"
        f"{_list(text.WHY_DECIDED, _lines(_deciding(answer)))}"
        f"{why_html(case, answer)}</div>"
    )


def full_answer_html(case: Case, answer: Assessment) -> str:
    """Return everything: the answers, actions and open tests, and the why unfolded on demand."""
    safing = [action.text for action in answer.actions if action.is_safing]
    others = [action.text for action in answer.actions if not action.is_safing]
    still_open = answer.residual.open_tests if answer.residual else answer.open_tests
    tests = [text.open_test_line(test.text, test.by) for test in still_open]
    return (
        chips_html(answer)
        + f'<div class="ub-answer">{_two_answers(answer)}'
        + _list(text.WHY_HV, _lines(answer.hv_reasons))
        + _list(text.WHY_DECIDED, _lines(_deciding(answer)))
        + why_html(case, answer)
        + _list(text.ACTIONS, others, ordered=True)
        + _folded(text.safing_steps(len(safing)), _items(safing, ordered=True))
        + _folded(f"{text.OPEN_TESTS} ({len(tests)})", _items(tests))
        + "</div>"
    )


def _two_answers(answer: Assessment) -> str:
    return (
        f"<p><b>{escape(text.HAZARD_NOW)}</b> ({escape(text.HAZARD_NOW_MEANS)}): "
        f"{escape(text.answer_line(answer.consequence, answer.likelihood))}</p>"
        f"<p><b>{escape(text.REPAIR_NEEDED)}</b> ({escape(text.REPAIR_NEEDED_MEANS)}): "
        f"{escape(words.DISPOSITIONS[answer.disposition])}</p>"
    )


def _deciding(answer: Assessment) -> list[Reason]:
    return [why for why in answer.reasons if why.rule_id in answer.decided_by]


def _lines(reasons: Iterable[Reason]) -> list[str]:
    return [_reason(why) for why in reasons]


def _reason(why: Reason) -> str:
    if not why.unmeasured:
        return why.because
    unknown = ", ".join(words.FACTS.get(name, name.replace("_", " ")) for name in why.unmeasured)
    return f"{why.because} ({text.TAKEN_AS_WORST}: {unknown}.)"


def _list(title: str, lines: list[str], *, ordered: bool = False) -> str:
    return f"<h4>{escape(title)}</h4>{_items(lines, ordered=ordered)}" if lines else ""


def _items(lines: list[str], *, ordered: bool = False) -> str:
    items = "".join(f"<li>{escape(line)}</li>" for line in dict.fromkeys(lines))
    tag = "ol" if ordered else "ul"
    return f"<{tag}>{items}</{tag}>" if lines else ""


def _folded(title: str, html: str) -> str:
    return f"<details><summary>{escape(title)}</summary>{html}</details>" if html else ""
