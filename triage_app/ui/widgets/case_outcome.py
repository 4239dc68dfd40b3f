"""What the rules say of the car as a whole: overall risk, where it stands, how it travels."""

from collections.abc import Iterable, Sequence
from html import escape

from rules import CaseAssessment, Citation, QuarantineAdvice, Reason, TransportAdvice
from triage_app.domain.case import Case
from triage_app.ui import evidence_text, why_text, words
from triage_app.ui import outcome_text as said
from triage_app.ui.rule_book.entry import lines_html, links_among
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.widgets.why_panel import citation_line


def overall_html(case: Case, assessment: CaseAssessment) -> str:
    """Return overall risk with what set it, and what remains beside it."""
    now = (
        f"<h4>{escape(said.OVERALL)}</h4><p class='ub-chips'>{risk_badge_html(assessment.risk)}"
        f"{hv_chip_html(assessment.hv_flag)}</p><p>{escape(_set_by(case, assessment))}</p>"
    )
    if assessment.residual_risk is None:
        return f'<div class="ub-answer">{now}</div>'
    rest = (
        f"<h4>{escape(said.REMAINS)}</h4>"
        f"<p class='ub-chips'>{risk_badge_html(assessment.residual_risk)}</p>"
        f"{_failed_on_car(assessment.failed_on_car)}"
        f"<p>{escape(evidence_text.REMAINS_NO_RELEASE)}</p>"
    )
    return (
        f'<div class="ub-answer ub-beside"><section>{now}</section><section>{rest}</section></div>'
    )


def _failed_on_car(tests: Sequence[str]) -> str:
    if not tests:
        return ""
    rows = "".join(f"<li>{escape(test)}</li>" for test in tests)
    return f"<p><b>{escape(said.FAILED_ON_CAR)}</b></p><ul>{rows}</ul>"


def short_advice_html(assessment: CaseAssessment) -> str:
    """Return quarantine and transport in a line each."""
    rows = (
        (said.QUARANTINE, [escape(assessment.quarantine.label)]),
        (said.TRANSPORT, [escape(assessment.transport.label)]),
    )
    return f'<div class="ub-answer">{lines_html(rows)}</div>'


def advice_html(assessment: CaseAssessment) -> str:
    """Return quarantine and transport, each with its source, its status and its reasons."""
    return (
        f'<div class="ub-answer ub-beside"><section>{_quarantine(assessment.quarantine)}</section>'
        f"<section>{_transport(assessment.transport)}</section></div>"
    )


def _set_by(case: Case, assessment: CaseAssessment) -> str:
    if assessment.risk is None:
        return ""
    if assessment.decided_by:
        signs = [
            why.because
            for why in assessment.stop_conditions
            if why.rule_id in assessment.decided_by
        ]
        return said.because_of_signs(signs)
    worst = {one.finding_id for one in assessment.findings if one.risk is assessment.risk}
    numbers = [finding.number for finding in case.open_findings if finding.id in worst]
    return said.because_of_findings(numbers)


def _quarantine(advice: QuarantineAdvice) -> str:
    return (
        f"<h4>{escape(said.QUARANTINE)}: {escape(advice.label)}</h4><p>{escape(advice.text)}</p>"
        f"{_why(advice.reasons, advice.citations)}"
    )


def _transport(advice: TransportAdvice) -> str:
    packing = "; ".join(advice.packing)
    numbers = "".join(
        f"<li><b>{escape(one.number)}</b>: {escape(one.travels)}"
        f"{escape(_statuses(one.citations))}</li>"
        for one in advice.un_numbers
    )
    return (
        f"<h4>{escape(said.TRANSPORT)}: {escape(advice.label)}</h4><p>{escape(advice.text)}</p>"
        + (f"<p>{escape(said.PACKING)}: {escape(packing)}</p>" if packing else "")
        + (f"<p>{escape(said.UN_NUMBERS)}:</p><ul>{numbers}</ul>" if numbers else "")
        + _why(advice.reasons, advice.citations)
    )


def _statuses(citations: Iterable[Citation]) -> str:
    statuses = dict.fromkeys(cited.status.value for cited in citations)
    return f" [{', '.join(statuses)}]" if statuses else ""


def _sources(citations: Iterable[Citation]) -> str:
    items = "".join(f"<li>{escape(citation_line(cited))}</li>" for cited in citations)
    return f"<p>{escape(said.SOURCES)}:</p><ul>{items}</ul>" if items else ""


def _why(reasons: tuple[Reason, ...], citations: tuple[Citation, ...]) -> str:
    link = links_among(())
    cards = "".join(
        f'<section class="ub-reason"><p><b>{escape(why.because)}</b> {link(why.rule_id)}</p>'
        + lines_html(
            (
                (why_text.FACTS, [escape("; ".join(why.facts))]),
                (why_text.TAKEN_AS_WORST, [escape(_unknown(why))]),
                (
                    why_text.RESTS_ON,
                    [
                        escape(why_text.basis(why.basis.value)),
                        *(escape(citation_line(cited)) for cited in why.citations),
                    ],
                ),
            )
        )
        + "</section>"
        for why in reasons
    )
    return f"<details><summary>{escape(said.WHY)}</summary>{cards}{_sources(citations)}</details>"


def _unknown(why: Reason) -> str:
    return ", ".join(words.FACTS.get(name, name.replace("_", " ")) for name in why.unmeasured)
