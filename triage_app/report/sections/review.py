"""Who reviewed which finding, what they said, and over exactly what they signed."""

from rules import HvFlag, Risk
from triage_app.domain.review.entries import Review
from triage_app.domain.review.queue import FindingReview, ReviewState
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, link
from triage_app.report.model import Block, Cell, Table
from triage_app.report.subject import Subject, anchor_of


def reviews(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return the queue as it stood: the rules' answer and the reviewer's, side by side."""
    flagged = [item for item in subject.queue.items if item.is_flagged]
    if not flagged:
        return []
    return [
        heading(1, "Review of findings flagged for high voltage", "review"),
        intro(texts.REVIEW_INTRO),
        Table(
            title="Review of flagged findings",
            caption=numbering.next("Table", "Review of findings flagged for high voltage."),
            header=("Finding", "The rules say", "The reviewer says", "Who, when, hash of what"),
            rows=tuple(_row(subject, item) for item in flagged),
            width_fracs=(0.28, 0.18, 0.22, 0.32),
        ),
    ]


def _row(subject: Subject, item: FindingReview) -> tuple[Cell, ...]:
    name = subject.name(item.finding)
    return (
        cell(link(f"{item.finding.number}. {name}", anchor_of(item.finding))),
        cell(_levels(item.answer.risk, item.answer.hv_flag)),
        cell(_said(item), strong=item.state is ReviewState.UNSIGNED),
        cell(_signed(item.signed or item.outdated)),
    )


def _levels(risk: Risk, flag: HvFlag) -> str:
    return f"{labels.risk_word(risk)}; {labels.HV_FLAG_IN_LINE[flag]}"


def _said(item: FindingReview) -> str:
    if item.signed is not None:
        given = item.signed.given
        reason = f": {given.reason}" if given.reason else ""
        return f"{str(given.verdict).capitalize()}, {_levels(given.risk, given.hv_flag)}{reason}"
    if item.outdated is not None:
        return f"CHANGED SINCE IT WAS SIGNED: {'; '.join(item.changes)}"
    return "Not reviewed"


def _signed(review: Review | None) -> str:
    if review is None:
        return "nobody"
    return f"{review.signed.by}, {labels.moment(review.signed.at)}; SHA-256 {review.given.sha256}"
