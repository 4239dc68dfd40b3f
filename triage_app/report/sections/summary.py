"""Page one: who, what, the state of HV, hazard now, repair needed, what is missing."""

from collections import Counter
from collections.abc import Sequence

from rules import Disposition, HvFlag, OpenTest, Risk, SignalWord
from triage_app.domain.case import Finding
from triage_app.domain.vehicle import Incident, Vehicle
from triage_app.report import labels, texts
from triage_app.report.blocks import (
    alert_sign,
    bullets,
    cell,
    electricity_sign,
    heading,
    lead,
    link,
    words,
)
from triage_app.report.model import Block, Box, Cell, Look, Paragraph, Table, Text
from triage_app.report.plain_text import one_line
from triage_app.report.sections import inspection, outcome, safing
from triage_app.report.subject import Subject, anchor_of

_PAGE_ONE_CHARACTERS = 200
_TESTS_ON_PAGE_ONE = 3
_ALERT_MM = 5.2
_SIGN_MM = 12.0


def blocks(subject: Subject, supplement: Sequence[Paragraph] = ()) -> list[Block]:
    return [
        words(texts.TITLE, Look.TITLE),
        words(_subtitle(subject), Look.SUBTITLE),
        _state(subject),
        *supplement,
        heading(1, "Summary", "summary"),
        _identity(subject),
        *_stop(subject),
        _hv_notice(subject),
        *_two_answers(subject),
        outcome.short(subject),
        *_outstanding(subject),
    ]


def _state(subject: Subject) -> Paragraph:
    if subject.material.is_release:
        by = subject.material.issued
        said = f"By {one_line(by.by)}, {labels.moment(by.at)}. {texts.RELEASED_LONG}"
        return lead(f"{texts.RELEASED}.", said, Look.DRAFT)
    return lead(
        f"{texts.DRAFT}.", f"{texts.DRAFT_LONG} {_keeps_draft(subject)}".strip(), Look.DRAFT
    )


def _subtitle(subject: Subject) -> str:
    case = subject.case
    shop = subject.layout.shop_name.strip() or "Shop name not given"
    return f"{shop} · case {case.reference}, revision {case.revision}"


def _identity(subject: Subject) -> Table:
    case, issued = subject.case, subject.material.issued
    rows = (
        ("Vehicle", _shortened(vehicle_line(case.vehicle))),
        ("High-voltage system", hv_system_line(case.vehicle)),
        ("Incident", _shortened(incident_line(case.incident))),
        (
            "Insurer's reference",
            _shortened(labels.or_not_recorded(one_line(case.incident.insurer_reference))),
        ),
        (
            "Recorded, issued",
            f"{_counts(subject)}; issued {labels.moment(issued.at)}, by {issued.by}",
        ),
    )
    return Table(
        title="Vehicle, incident and extent of this report",
        header=("Case", labels.shown_name(case.reference)),
        rows=tuple((cell(label, strong=True), cell(value)) for label, value in rows),
        width_fracs=(0.22, 0.78),
    )


def vehicle_line(vehicle: Vehicle) -> str:
    parts = [
        labels.or_not_recorded(one_line(vehicle.description)),
        f"plate {labels.or_not_recorded(vehicle.plate)}",
        f"VIN {vehicle.vin or labels.NOT_RECORDED}",
    ]
    if vehicle.vin_check_digit_differs:
        parts.append("whose ninth character is not the check digit used in North America")
    return ", ".join(parts)


def hv_system_line(vehicle: Vehicle) -> str:
    volts = (
        "voltage not recorded, counts as high"
        if vehicle.system_voltage_v is None
        else f"{labels.number(vehicle.system_voltage_v)} V DC"
    )
    charge = (
        "charge on arrival not recorded"
        if vehicle.charge_on_arrival_percent is None
        else f"charge on arrival {labels.number(vehicle.charge_on_arrival_percent)} %"
    )
    return f"{volts}; {charge}"


def incident_line(incident: Incident) -> str:
    happened = labels.or_not_recorded(one_line(incident.happened_on))
    return (
        f"Date {happened}. {one_line(incident.what_happened) or 'Course of events not recorded.'}"
    )


def _shortened(text: str) -> str:
    if len(text) <= _PAGE_ONE_CHARACTERS:
        return text
    cut = text[:_PAGE_ONE_CHARACTERS]
    at_word = cut.rsplit(" ", 1)[0]
    # A single endless word is cut where the space ends.
    kept = at_word if len(at_word) > _PAGE_ONE_CHARACTERS // 2 else cut
    return f"{kept} … (in full under Vehicle and incident)"


def _counts(subject: Subject) -> str:
    withdrawn = sum(finding.withdrawn is not None for finding in subject.case.findings)
    parts = [
        labels.count(len(subject.findings), "finding"),
        labels.count(len(subject.case.photos), "photo"),
    ]
    if withdrawn:
        parts.insert(1, f"{labels.count(withdrawn, 'finding')} withdrawn")
    return ", ".join(parts)


def _stop(subject: Subject) -> list[Block]:
    conditions = subject.assessment.stop_conditions
    if not conditions:
        return []
    tone = labels.SIGNAL_TONES[SignalWord.DANGER]
    content = [
        Paragraph(texts=(Text(text=texts.STOP_LEAD, strong=True, ink=tone.ink),), look=Look.CELL)
    ]
    # In one flow: eight signs that nobody answered must leave room for the rest of page one.
    reasons = " ".join(reason.because for reason in conditions)
    content.append(Paragraph(texts=(Text(text=reasons, ink=tone.ink),), look=Look.CELL))
    return [
        Box(
            title="Stop conditions",
            cells=(Cell(content=tuple(content), tone=tone),),
            width_fracs=(1.0,),
        )
    ]


def _hv_notice(subject: Subject) -> Box:
    # Without a make-safe record the battery could kill, whatever the findings are: never less.
    word = max(subject.assessment.signal_word, SignalWord.WARNING)
    tone = labels.SIGNAL_TONES[word]
    sign = Paragraph(texts=(electricity_sign(_SIGN_MM),), look=Look.CELL)
    signal = Paragraph(
        texts=(
            alert_sign(_ALERT_MM),
            Text(text=" "),
            Text(text=word.name, ink=tone.ink),
        ),
        look=Look.SIGNAL_WORD,
    )
    title = Paragraph(texts=(Text(text="High voltage", ink=tone.ink),), look=Look.CELL_BIG)
    return Box(
        title="High-voltage notice",
        cells=(
            Cell(content=(signal, title, sign), tone=tone),
            Cell(
                content=(
                    Paragraph(
                        texts=(Text(text=_flag_sentence(subject), strong=True),), look=Look.CELL
                    ),
                    safing.lead_line(subject),
                    words(texts.MAKER_FIRST, Look.CELL),
                )
            ),
        ),
        width_fracs=(0.24, 0.76),
    )


def _flag_sentence(subject: Subject) -> str:
    if not subject.findings:
        return texts.NOT_ASSESSED
    flags = [subject.of_finding(finding).hv_flag for finding in subject.findings]
    at_hv, near = flags.count(HvFlag.AT_HV), flags.count(HvFlag.WITHIN_REACH)
    if not at_hv and not near:
        return texts.NO_HV_FLAG
    return (
        f"{at_hv + near} of {labels.count(len(flags), 'finding')} flagged for high voltage: "
        f"{at_hv} at HV, {near} within reach of HV."
    )


def _two_answers(subject: Subject) -> list[Block]:
    risks = [subject.of_finding(finding).risk for finding in subject.findings]
    needs = [subject.of_finding(finding).disposition for finding in subject.findings]
    levels = sorted(Risk, reverse=True)
    dispositions = sorted(Disposition, reverse=True)
    hazard = Table(
        title="Hazard now: number of findings by risk",
        header=("Hazard now", *(labels.risk_word(risk) for risk in levels)),
        rows=(
            (
                cell(texts.HAZARD_NOW_MEANING),
                *(
                    cell(
                        f"{labels.RISK_SQUARES[risk]}  {risks.count(risk)}",
                        strong=True,
                        tone=labels.risk_tone(risk) if risks.count(risk) else None,
                    )
                    for risk in levels
                ),
            ),
        ),
        width_fracs=(0.3, 0.14, 0.14, 0.14, 0.14, 0.14),
    )
    repair = Table(
        title="Repair needed: number of findings by what the part needs",
        header=("Repair needed", *(labels.DISPOSITION_WORDS[need] for need in dispositions)),
        rows=(
            (
                cell(texts.REPAIR_NEEDED_MEANING),
                *(cell(str(needs.count(need)), strong=True) for need in dispositions),
            ),
        ),
        width_fracs=(0.3, 0.12, 0.14, 0.12, 0.2, 0.12),
    )
    return [hazard, repair, words(texts.TWO_ANSWERS, Look.SMALL)]


def _outstanding(subject: Subject) -> list[Block]:
    tests = _worst_first(subject)
    items: list[Paragraph] = []
    if tests:
        named = "; ".join(test.text.rstrip(".") for test in tests[:_TESTS_ON_PAGE_ONE])
        more = len(tests) - _TESTS_ON_PAGE_ONE
        tail = f"; and {more} more" if more > 0 else ""
        items.append(
            Paragraph(
                texts=(
                    Text(text=f"{labels.count(len(tests), 'test')} outstanding:", strong=True),
                    Text(text=f" {named}{tail}. "),
                    link("All tests", "tests"),
                )
            )
        )
    items += _called_out(subject)
    items += [inspection.admission_line(subject), inspection.inspection_line(subject)]
    items.append(lead(*texts.NOT_IN_DRAFT))
    return [
        heading(2, "Outstanding, and not part of this report", "outstanding"),
        bullets(*items),
    ]


def _keeps_draft(subject: Subject) -> str:
    kinds = Counter(blocker.kind.value for blocker in subject.material.blockers)
    said = ", ".join(f"{kind.lower()} ({number})" for kind, number in kinds.items())
    return f"{texts.DRAFT_BECAUSE} {said}." if said else ""


def _worst_first(subject: Subject) -> list[OpenTest]:
    """Return all outstanding tests, those of the worst findings first."""
    ordered = [test for finding in subject.findings for test in subject.open_tests_of(finding)]
    return list(dict.fromkeys((*ordered, *subject.open_tests)))


def _called_out(subject: Subject) -> list[Paragraph]:
    """Point out findings that a reader would otherwise take for complete."""
    said: list[Paragraph] = []
    unknown = [f for f in subject.findings if labels.is_unidentified(f.tags)]
    if unknown:
        said.append(
            Paragraph(
                texts=(
                    Text(text="Part or damage not identified:", strong=True),
                    Text(text=" "),
                    *_links(unknown),
                    Text(text=". What is not identified counts as the worst."),
                )
            )
        )
    without = [f for f in subject.findings if not f.marks]
    if without:
        said.append(
            Paragraph(
                texts=(
                    Text(text="Without a mark on any photo:", strong=True),
                    Text(text=" "),
                    *_links(without),
                    Text(text="."),
                )
            )
        )
    return said


def _links(findings: list[Finding]) -> list[Text]:
    by_number = sorted(findings, key=lambda finding: finding.number)
    texts_: list[Text] = [Text(text="finding " if len(findings) == 1 else "findings ")]
    for position, finding in enumerate(by_number):
        if position:
            texts_.append(Text(text=", "))
        texts_.append(link(str(finding.number), anchor_of(finding)))
    return texts_
