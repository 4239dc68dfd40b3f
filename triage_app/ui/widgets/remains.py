"""What remains after accepted records, beside the hazard now and never in its place."""

from collections.abc import Iterable
from html import escape

from rules import Assessment, OpenTest, Reason
from triage_app.ui import evidence_text as said
from triage_app.ui import text, words
from triage_app.ui.rule_book.entry import links_among
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html


def remains_html(answer: Assessment) -> str:
    """Return hazard now and what remains, side by side; what remains only where records count."""
    now = (
        f"<h4>{escape(said.HAZARD_NOW)}</h4>"
        f'<p class="ub-chips">{risk_badge_html(answer.risk)}{hv_chip_html(answer.hv_flag)}</p>'
        f"<p>{escape(said.HAZARD_NOW_MEANS)}</p>"
        f"<p>{escape(text.answer_line(answer.consequence, answer.likelihood))}</p>"
    )
    return (
        f'<div class="ub-beside"><section>{now}</section><section>{_rest(answer)}</section></div>'
    )


def _rest(answer: Assessment) -> str:
    rest = answer.residual
    title = f"<h4>{escape(said.REMAINS)}</h4>"
    if rest is None:
        return f"{title}<p>{escape(said.REMAINS_NOTHING)}</p>"
    likelihood = f"{rest.likelihood.value} {words.LIKELIHOODS[rest.likelihood]}"
    return (
        f'{title}<p class="ub-chips">{risk_badge_html(rest.risk)}</p>'
        f"<p>{escape(said.REMAINS_MEANS)}</p>"
        f"<p>{escape(said.LIKELIHOOD_LEFT)}: {escape(likelihood)}. "
        f"{escape(said.NEED_LEFT)}: {escape(words.DISPOSITIONS[rest.disposition])}.</p>"
        f"{_because(rest.reasons)}"
        f"<p><b>{escape(said.REMAINS_NO_RELEASE)}</b></p>"
    )


def _because(reasons: Iterable[Reason]) -> str:
    link = links_among(())
    items = "".join(f"<li>{escape(why.because)} {link(why.rule_id)}</li>" for why in reasons)
    return f"<p>{escape(said.BECAUSE)}:</p><ul>{items}</ul>" if items else ""


def tests_html(title: str, tests: Iterable[OpenTest]) -> str:
    """Return outstanding tests, each with who does it."""
    items = "".join(f"<li>{escape(text.open_test_line(test.text, test.by))}</li>" for test in tests)
    inner = f"<ul>{items}</ul>" if items else f"<p>{escape(said.NOTHING_OPEN)}</p>"
    return f"<h4>{escape(title)}</h4>{inner}"
