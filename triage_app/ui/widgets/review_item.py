"""One finding as its reviewer sees it: close-up, reasons, record, and the three verdicts."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.evidence_standing import standing_of
from triage_app.domain.review.entries import Review, ReviewVerdict
from triage_app.domain.review.queue import FindingReview, ReviewState
from triage_app.services.review import Decision
from triage_app.ui import review_text as words
from triage_app.ui import state
from triage_app.ui.names import finding_name, photo_numbers, shown_time
from triage_app.ui.safing_text import record_line
from triage_app.ui.widgets.close_up import close_up_html
from triage_app.ui.widgets.evidence_panel import record_html, records_of
from triage_app.ui.widgets.notices import refusals_kept, saying_refusals
from triage_app.ui.widgets.risk_badge import hv_chip_html, risk_badge_html
from triage_app.ui.wiring import operator, services


def short_line(item: FindingReview) -> str:
    """Return finding, levels and where it stands, on one line."""
    return (
        f"{finding_name(item.finding)} · {words.RISKS.get(item.risk, item.risk.name.lower())} · "
        f"{words.FLAGS[item.hv_flag]} · {words.STATES[item.state]}"
    )


def review_card(case: Case, item: FindingReview, *, is_reviewer: bool) -> None:
    """Draw everything that a reviewer needs at once, and the buttons where they may sign."""
    with st.container(border=True, key=f"ub-review-{item.finding.id}"):
        picture, said = st.columns([3, 4])
        with picture:
            st.html(_close_up(case, item))
        with said:
            st.html(_answer(case, item))
        if is_reviewer and item.is_waiting:
            _verdicts(case, item)
        elif is_reviewer and item.is_flagged:
            with st.popover(words.OTHER):
                _other(case, item)


def _close_up(case: Case, item: FindingReview) -> str:
    if not item.finding.marks:
        return f"<p>{escape(words.NO_CLOSE_UP)}</p>"
    alt = f"Close-up of {finding_name(item.finding)}"
    return close_up_html(case, item.finding.marks[0], item.answer.risk, alt=alt)


def _answer(case: Case, item: FindingReview) -> str:
    answer = item.answer
    deciding = (reason for reason in answer.reasons if reason.rule_id in answer.decided_by)
    reasons = "".join(
        f"<li>{escape(why)}</li>"
        for why in dict.fromkeys(
            f"{reason.because} ({reason.rule_id})" for reason in (*answer.hv_reasons, *deciding)
        )
    )
    record = record_line(services().safing.status(case))
    return (
        f"<h3>{escape(finding_name(item.finding))}</h3>{_changed(item)}"
        f"<p>{risk_badge_html(answer.risk)} {hv_chip_html(answer.hv_flag)}</p>{_reviewers(item)}"
        f"<ul class='ub-list'>{reasons}</ul><p>{escape(record)}</p>{_photo_times(case, item)}"
        f"{_records(case, item)}"
        f"{_history(item)}"
    )


def _changed(item: FindingReview) -> str:
    if item.state is not ReviewState.UNSIGNED or item.outdated is None:
        return ""
    return (
        f'<p class="ub-complaint"><b>{words.CHANGED}</b> ({escape(item.outdated.signed.by)}, '
        f"{shown_time(item.outdated.signed.at)}): {escape('; '.join(item.changes))}</p>"
    )


def _reviewers(item: FindingReview) -> str:
    if (item.risk, item.hv_flag) == (item.answer.risk, item.answer.hv_flag):
        return ""
    return (
        f"<p><b>{escape(words.REVIEWER_SAYS)}:</b> {risk_badge_html(item.risk)} "
        f"{hv_chip_html(item.hv_flag)}</p>"
    )


def _photo_times(case: Case, item: FindingReview) -> str:
    """Say of each photo of the finding when it was taken, the early ones pointed out."""
    early = {photo.id for photo in services().safing.photos_before(case)}
    shown = photo_numbers(case, item.finding)
    timeless, lines = [], []
    for number, photo in enumerate(case.photos, start=1):
        at = case.really_taken_at(photo)
        if number not in shown:
            continue
        if at is None:
            timeless.append(number)
        elif photo.id in early:
            lines.append(_pointed_out(words.before(number, shown_time(at))))
        else:
            lines.append(f"<p>{escape(words.taken(number, shown_time(at)))}</p>")
    if timeless:
        lines.append(_pointed_out(words.without_time(timeless)))
    return "".join(lines)


def _pointed_out(line: str) -> str:
    return f'<p class="ub-complaint">{escape(line)}</p>'


def _records(case: Case, item: FindingReview) -> str:
    return "".join(
        record_html(record, standing_of(case, record))
        for record in records_of(case, item.finding.id)
    )


def _history(item: FindingReview) -> str:
    if not item.reviews:
        return ""
    rows = "".join(f"<li>{escape(history_line(review))}</li>" for review in item.reviews)
    return f"<p><b>{escape(words.HISTORY)}</b></p><ul class='ub-list'>{rows}</ul>"


def history_line(review: Review) -> str:
    """Return who said what when, with the beginning of the hash of what was signed."""
    given = review.given
    reason = f": {given.reason}" if given.reason else ""
    return (
        f"{words.VERDICTS[given.verdict]} by {review.signed.by}, {shown_time(review.signed.at)} "
        f"(SHA-256 {given.sha256[:12]}…){reason}"
    )


def _verdicts(case: Case, item: FindingReview) -> None:
    with st.container(horizontal=True, key=f"ub-verdict-{item.finding.id}"):
        st.button(
            words.CONFIRM,
            type="primary",
            key=f"review-confirm-{item.finding.id}",
            on_click=_confirm,
            args=(case, item),
        )
        with st.popover(words.OTHER):
            _other(case, item)


def _other(case: Case, item: FindingReview) -> None:
    key = f"review-{item.finding.id}-{len(item.reviews)}"
    flag = st.radio(
        words.TO_FLAG,
        list(words.FLAGS),
        index=list(words.FLAGS).index(item.hv_flag),
        format_func=words.FLAGS.__getitem__,
        key=f"{key}-flag",
    )
    risks = list(words.RISKS)
    risk = st.radio(
        words.TO_RISK,
        risks,
        index=risks.index(item.risk) if item.risk in risks else len(risks) - 1,
        format_func=words.RISKS.__getitem__,
        key=f"{key}-risk",
    )
    reason = st.text_area(words.REASON, key=f"{key}-reason")
    if item.cannot_lower:
        st.caption(item.cannot_lower)
    left, right = st.columns(2)
    for column, verdict, label in (
        (left, ReviewVerdict.ESCALATED, words.ESCALATE),
        (right, ReviewVerdict.LOWERED, words.LOWER),
    ):
        if column.button(label, key=f"{key}-{verdict.name}", width="stretch"):
            _decide(case, item, Decision(verdict=verdict, hv_flag=flag, risk=risk, reason=reason))
    stands_higher = item.hv_flag > item.answer.hv_flag or item.risk > item.answer.risk
    if stands_higher and st.button(words.TAKE_BACK, key=f"{key}-back", width="stretch"):
        _decide(case, item, Decision(verdict=ReviewVerdict.CONFIRMED, reason=reason))


def _decide(case: Case, item: FindingReview, decision: Decision) -> None:
    with saying_refusals():
        services().review.decide(
            case.id, item.finding.id, decision, seen=item.sha256, by=operator()
        )
        state.notify(words.SIGNED)
        st.rerun()


def _confirm(case: Case, item: FindingReview) -> None:
    with refusals_kept():
        services().review.decide(
            case.id,
            item.finding.id,
            Decision(verdict=ReviewVerdict.CONFIRMED),
            seen=item.sha256,
            by=operator(),
        )
        state.notify(words.SIGNED)
