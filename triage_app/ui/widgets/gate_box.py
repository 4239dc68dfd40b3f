"""Where a car stands at the gate, loudly, with the answers that hold it."""

from html import escape

from triage_app.domain.admission.entries import HoldCause
from triage_app.domain.admission.status import AdmissionState, AdmissionStatus, signer_of
from triage_app.domain.case import Case
from triage_app.ui import gate_text as words
from triage_app.ui import text
from triage_app.ui.names import shown_time

_LOOKS = {
    AdmissionState.HELD: "void",
    AdmissionState.ADMITTED: "recorded",
    AdmissionState.NO_SIGN: "recorded",
}
_MEANS = {
    AdmissionState.HELD: words.HELD_MEANS,
    AdmissionState.ADMITTED: words.ADMITTED_MEANS,
    AdmissionState.NO_SIGN: words.NO_SIGN_MEANS,
}


def gate_box(case: Case, status: AdmissionStatus) -> str:
    """Return the state as HTML: what to do now, why, and who decided what."""
    causes = status.holding if status.is_held else status.causes
    listed = "".join(f"<li>{escape(cause_words(case, cause))}</li>" for cause in causes)
    title = words.HOLDS if status.is_held else words.COVERED
    holds = f"<details><summary>{escape(title)} ({len(causes)})</summary>" if causes else ""
    return (
        f'<section class="ub-safing ub-safing-{_LOOKS[status.state]}" role="status">'
        f"<h3>{escape(words.STATE_TITLES[status.state])}</h3>"
        f"<p><b>{escape(_MEANS[status.state])}</b></p>{_decision(status)}"
        f"{holds}{f'<ul class=ub-list>{listed}</ul></details>' if causes else ''}"
        f"<p>{escape(words.MAKER_FIRST)}</p></section>"
    )


def cause_words(case: Case, cause: HoldCause) -> str:
    """Return one answer that holds a car, with who gave it and when."""
    signed = signer_of(case, cause)
    by = f"{signed.by}, {shown_time(signed.at)}" if signed else words.NOBODY
    return f"{text.SIGNS[cause.sign]}: {words.ANSWERS[cause.answer].lower()} ({by})"


def _decision(status: AdmissionStatus) -> str:
    if status.decision is None or status.decided is None:
        return ""
    recorded = status.decision.recorded
    said = (
        f"{words.VERDICTS[status.decided.verdict]}: {status.decided.reason} "
        f"({recorded.by}, {shown_time(recorded.at)})"
    )
    return f"<p>{escape(said)}</p>"
