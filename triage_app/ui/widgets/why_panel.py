"""The why of one finding, unfolded: each answer, the rule that decided it, its facts and source."""

from collections.abc import Iterable, Sequence
from html import escape

from rules import Assessment, Citation, Consequence, HvFlag, Likelihood, Origin, Reason
from rules.deciding import deciding
from triage_app.domain.case import Case
from triage_app.domain.ids import FindingId
from triage_app.imaging.mark_style import MARK_STYLES
from triage_app.ui import rule_book_text, why_text, words
from triage_app.ui.rule_book.entry import lines_html, links_among
from triage_app.ui.wiring import rulebook


def why_html(case: Case, answer: Assessment) -> str:
    """Return the panel, folded; every rule that fired is in it once in full."""
    decided = deciding(answer, rulebook())
    cards = _Cards(case)
    flag = why_text.level(why_text.HIGH_VOLTAGE, words.HV_FLAGS[answer.hv_flag])
    need = why_text.level(why_text.REPAIR, words.DISPOSITIONS[answer.disposition])
    how_badly = f"{answer.consequence.value} {words.CONSEQUENCES[answer.consequence]}"
    how_likely = f"{answer.likelihood.value} {words.LIKELIHOODS[answer.likelihood]}"
    no_flag = answer.hv_flag is HvFlag.NONE
    return (
        f'<details class="ub-why"><summary>{escape(why_text.WHY)}</summary>'
        f"{_risk(answer)}"
        + cards.section(why_text.level(why_text.CONSEQUENCE, how_badly), decided.consequence)
        + cards.section(why_text.level(why_text.LIKELIHOOD, how_likely), decided.likelihood)
        + cards.section(flag, decided.hv_flag, why_text.NO_FLAG if no_flag else why_text.NO_RULE)
        + cards.section(need, decided.repair)
        + cards.folded(why_text.OTHERS, decided.others)
        + "</details>"
    )


def _risk(answer: Assessment) -> str:
    risk = MARK_STYLES[answer.risk].word
    sentence = why_text.risk_sentence(answer.consequence, answer.likelihood, risk)
    return (
        f"<h4>{escape(why_text.level(why_text.HAZARD, risk))}</h4><p>{escape(sentence)}</p>"
        f"{small_risk_table_html(answer.consequence, answer.likelihood)}"
    )


def small_risk_table_html(consequence: Consequence, likelihood: Likelihood) -> str:
    """Return the risk table by word, squares and colour, with one cell framed."""
    book = rulebook()
    head = "".join(f"<th>{one.value}</th>" for one in Consequence)
    corner = f"{rule_book_text.LIKELIHOOD} ↓"
    rows = ""
    for letter in Likelihood:
        cells = ""
        for one in Consequence:
            style = MARK_STYLES[book.risk_matrix[one, letter]]
            chosen = (one, letter) == (consequence, likelihood)
            css = ' class="ub-chosen" aria-current="true"' if chosen else ""
            colours = f"background:{style.colour};color:{style.ink}"
            cells += (
                f'<td{css} style="{colours}">{words.RISK_SQUARES[book.risk_matrix[one, letter]]} '
                f"{escape(style.word)}</td>"
            )
        rows += f"<tr><th>{letter.value}</th>{cells}</tr>"
    return (
        f'<div class="ub-scroll"><table class="ub-matrix ub-matrix-small"><thead>'
        f'<tr><th rowspan="2">{escape(corner)}</th>'
        f'<th colspan="4">{escape(rule_book_text.CONSEQUENCE)} →</th></tr><tr>{head}</tr>'
        f"</thead><tbody>{rows}</tbody></table></div>"
    )


class _Cards:
    """Draws reasons; one that decided several things is told in full the first time only."""

    def __init__(self, case: Case) -> None:
        self._case = case
        self._told: set[str] = set()

    def section(
        self, title: str, reasons: Sequence[Reason], if_none: str = why_text.NO_RULE
    ) -> str:
        told = "".join(self._card(why) for why in reasons) or f"<p>{escape(if_none)}</p>"
        return f"<h4>{escape(title)}</h4>{told}"

    def folded(self, title: str, reasons: Sequence[Reason]) -> str:
        if not reasons:
            return ""
        told = "".join(self._card(why) for why in reasons)
        return f"<details><summary>{escape(title)} ({len(reasons)})</summary>{told}</details>"

    def _card(self, why: Reason) -> str:
        link = links_among(())(why.rule_id)
        if why.rule_id in self._told:
            return (
                f'<section class="ub-reason"><p>{escape(why.because)} {link}, '
                f"{escape(why_text.SAID_ABOVE)}</p></section>"
            )
        self._told.add(why.rule_id)
        unknown = [words.FACTS.get(name, name.replace("_", " ")) for name in why.unmeasured]
        numbers = [self._case.finding(FindingId(one)).number for one in why.with_findings]
        rows = lines_html(
            (
                (why_text.FACTS, [escape("; ".join(why.facts))]),
                (why_text.TAKEN_AS_WORST, [f"<b>{escape(', '.join(unknown))}</b>"] * bool(unknown)),
                (why_text.TOGETHER, [escape(why_text.partners(sorted(numbers)))] * bool(numbers)),
                (why_text.WRITTEN_BY, [escape(why_text.SHOP)] * (why.origin is Origin.SHOP)),
                (why_text.RESTS_ON, [escape(why_text.basis(why.basis.value)), *_cited(why)]),
            )
        )
        return (
            f'<section class="ub-reason"><p><b>{escape(why.because)}</b> {link}</p>{rows}</section>'
        )


def _cited(why: Reason) -> Iterable[str]:
    for cited in why.citations:
        yield escape(citation_line(cited))


def citation_line(cited: Citation) -> str:
    """Return a source with edition, clause, our paraphrase and how far it was checked."""
    source = rulebook().sources.get(cited.source)
    title, edition = (source.title, source.edition) if source else (cited.source, "")
    where = ", ".join(part for part in (title, edition) if part)
    return f"{where}; {cited.statement} [{cited.status.value}]"
