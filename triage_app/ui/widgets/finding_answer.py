"""What the rules say of one finding: the two answers, then why."""

from collections.abc import Iterable
from html import escape

from rules import Assessment, Origin, Reason
from triage_app.ui import text, words
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.wiring import rulebook


def chips_html(answer: Assessment) -> str:
    """Return risk and HV flag, each by word, pattern and colour."""
    return f'<p class="ub-chips">{risk_badge_html(answer.risk)}{hv_chip_html(answer.hv_flag)}</p>'


def answer_html(answer: Assessment) -> str:
    """Return the two answers and the deciding reasons; short enough beside a photo."""
    return (
        f'<div class="ub-answer">{_two_answers(answer)}'
        f"{_list(text.WHY_HV, _lines(answer.hv_reasons))}"
        f"{_list(text.WHY_DECIDED, _lines(_deciding(answer)))}</div>"
    )


def full_answer_html(answer: Assessment) -> str:
    """Return everything: also actions, open tests, what else speaks, and sources."""
    safing = [action.text for action in answer.actions if action.is_safing]
    others = [action.text for action in answer.actions if not action.is_safing]
    tests = [text.open_test_line(test.text, test.by) for test in answer.open_tests]
    also = [why for why in answer.reasons if why not in (*_deciding(answer), *answer.hv_reasons)]
    return (
        chips_html(answer)
        + answer_html(answer)
        + '<div class="ub-answer">'
        + _list(text.ACTIONS, others, ordered=True)
        + _list(text.OPEN_TESTS, tests)
        + _folded(text.safing_steps(len(safing)), _items(safing, ordered=True))
        + _folded(text.WHY_ALSO, _items(_lines(also)))
        + _folded(text.SOURCES, f"<ul>{_sources(answer)}</ul>")
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


def _sources(answer: Assessment) -> str:
    """Return each rule that spoke with what it rests on."""
    items = []
    for why in dict.fromkeys((*answer.hv_reasons, *answer.reasons)):
        cited = "; ".join(_citations(why)) or text.NO_CITATION
        shop = f"{escape(text.SHOP_RULE)}, " if why.origin is Origin.SHOP else ""
        rule = f"<code>{escape(why.rule_id)}</code> ({shop}{escape(why.basis)})"
        items.append(f"<li>{rule}: {cited}</li>")
    return "".join(items)


def _citations(why: Reason) -> Iterable[str]:
    for cited in why.citations:
        source = rulebook().sources.get(cited.source)
        title, edition = (source.title, source.edition) if source else (cited.source, "")
        yield escape(
            text.citation_line(title, edition, cited.clause, cited.says, cited.status.value)
        )
