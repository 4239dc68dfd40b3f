"""Why a finding is judged as it is: the deciding rules; their sources stand in the appendix."""

from collections.abc import Iterable

from rules import Assessment, Basis, Citation, HvFlag, Origin, Reason, SourceStatus
from triage_app.report import labels, texts
from triage_app.report.blocks import bullets, lead, link, words
from triage_app.report.model import Block, Look, Paragraph, Text
from triage_app.report.subject import Subject

_WEAK = (SourceStatus.MEMORY, SourceStatus.COMMON_PRACTICE)
_MUTED_INK = "44525A"
# A clause that says only that there is none.
_NO_CLAUSE = ("", "-")


def blocks(subject: Subject, of_finding: Assessment) -> list[Block]:
    """Say what decided the risk, the repair and the flag, each apart from the others."""
    risk = labels.risk_word(of_finding.risk)
    return [
        lead(f"Hazard now {risk}, because:", "", stays_with_next=True),
        _listed(subject, deciding_risk(of_finding), texts.NO_DECIDING_RULE),
        *_unmeasured(of_finding),
        *_repair(subject, of_finding),
        *_flag(subject, of_finding),
    ]


def further(of_finding: Assessment) -> list[Block]:
    """Name every other rule that fired, so that the conclusion can be unfolded."""
    said = {
        reason.rule_id
        for reason in (
            *deciding_risk(of_finding),
            *deciding_repair(of_finding),
            *of_finding.hv_reasons,
        )
    }
    others = [reason for reason in of_finding.reasons if reason.rule_id not in said]
    if not others:
        return []
    listed = labels.listed(dict.fromkeys(reason.rule_id for reason in others))
    return [
        Paragraph(
            texts=(
                Text(text="Also fired:", strong=True),
                Text(text=f" {listed}. "),
                link(texts.RULES_LINK, "rules_fired"),
                Text(text="."),
            ),
            look=Look.SMALL,
        )
    ]


def deciding_risk(of_finding: Assessment) -> list[Reason]:
    return [reason for reason in of_finding.reasons if reason.rule_id in of_finding.decided_by]


def deciding_repair(of_finding: Assessment) -> list[Reason]:
    """Return the reasons whose rules ask for just this disposition."""
    return [
        reason for reason in of_finding.reasons if reason.rule_id in of_finding.repair_decided_by
    ]


def _unmeasured(of_finding: Assessment) -> list[Block]:
    names = sorted({name for reason in of_finding.reasons for name in reason.unmeasured})
    if not names:
        return []
    listed = labels.listed(labels.fact_words(name) for name in names)
    return [lead("Not given and taken as worst:", f"{listed}.")]


def _repair(subject: Subject, of_finding: Assessment) -> list[Block]:
    need = labels.DISPOSITION_WORDS[of_finding.disposition]
    return [
        lead(f"Repair needed {need}, because:", "", stays_with_next=True),
        _listed(subject, deciding_repair(of_finding), texts.NO_REPAIR_RULE),
    ]


def _flag(subject: Subject, of_finding: Assessment) -> list[Block]:
    if of_finding.hv_flag is HvFlag.NONE:
        return [lead("No HV flag.", texts.NOT_FLAGGED)]
    flag = labels.HV_FLAG_WORDS[of_finding.hv_flag]
    return [
        lead(f"{flag}, because:", "", stays_with_next=True),
        _listed(subject, of_finding.hv_reasons, texts.NO_DECIDING_RULE),
    ]


def _listed(subject: Subject, reasons: Iterable[Reason], if_none: str) -> Block:
    items = [reason_paragraph(subject, reason) for reason in reasons]
    return bullets(*items) if items else words(if_none)


def reason_paragraph(subject: Subject, reason: Reason) -> Paragraph:
    """Return one reason with its rule, by which its source is found in the appendix."""
    together = ""
    if reason.with_findings:
        numbers = labels.numbers_listed(map(subject.number_of, reason.with_findings))
        one = "finding" if len(reason.with_findings) == 1 else "findings"
        together = f" Together with {one} {numbers}."
    return Paragraph(
        texts=(
            Text(text=f"{reason.because}{together} "),
            Text(text=f"({_rule(reason)})", ink=_MUTED_INK),
        )
    )


def _rule(reason: Reason) -> str:
    """Name the rule, and what it rests on where that is less than a text that was read."""
    weak = [cited.status for cited in reason.citations if cited.status in _WEAK]
    if not reason.citations:
        weak = [SourceStatus.COMMON_PRACTICE] if reason.basis is Basis.COMMON_PRACTICE else []
    said = [str(status) for status in dict.fromkeys(weak)]
    if not reason.citations and reason.basis is Basis.JUDGEMENT:
        said.append(str(Basis.JUDGEMENT))
    return ", ".join((labels.rule_words(reason), *said))


def basis(subject: Subject, reason: Reason) -> str:
    """Say what a reason rests on, with how far its source was checked."""
    if not reason.citations:
        is_shops = reason.origin is Origin.SHOP
        return (texts.SHOP_BASIS if is_shops else texts.BASIS)[reason.basis]
    return f"Source: {cited_short(subject, reason.citations)}."


def cited_short(subject: Subject, citations: Iterable[Citation]) -> str:
    """Return each source by its designation and clause, with how far it was checked."""
    cited = []
    for citation in citations:
        source = subject.rulebook.sources.get(citation.source)
        title = labels.designation(source.title) if source else citation.source
        clause = "" if citation.clause in _NO_CLAUSE else f", {citation.clause}"
        status = citation.status
        checked = "" if status is SourceStatus.COMMON_PRACTICE else f" ({status})"
        cited.append(f"{title}{clause}{checked}")
    return "; ".join(dict.fromkeys(cited))
