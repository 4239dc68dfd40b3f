"""Words for values: what a number, a date, a level or a missing answer is called in the report."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from decimal import Decimal

from rules import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    Origin,
    Reason,
    Risk,
    Rulebook,
    Side,
    SignalWord,
)
from triage_app.domain.case import Case, Finding, Photo, Tags
from triage_app.domain.findings import outline_changed
from triage_app.domain.ids import PhotoId
from triage_app.domain.measuring import Size
from triage_app.imaging.mark_style import MARK_STYLES
from triage_app.report.model import Tone
from triage_app.report.plain_text import one_line

NOT_RECORDED = "not recorded"
NOT_MEASURED = "not measured"

RISK_SQUARES = {
    Risk.HIGH: "■■■■",
    Risk.SERIOUS: "■■■□",
    Risk.MEDIUM: "■■□□",
    Risk.LOW: "■□□□",
    Risk.ELIMINATED: "□□□□",
}
HV_FLAG_WORDS = {
    HvFlag.AT_HV: "At HV",
    HvFlag.WITHIN_REACH: "Within reach of HV",
    HvFlag.NONE: "No HV flag",
}
HV_FLAG_SHORT = {
    HvFlag.AT_HV: "At HV",
    HvFlag.WITHIN_REACH: "Within reach",
    HvFlag.NONE: "No flag",
}
HV_FLAG_IN_LINE = {
    HvFlag.AT_HV: "at HV",
    HvFlag.WITHIN_REACH: "within reach of HV",
    HvFlag.NONE: "no HV flag",
}
DISPOSITION_WORDS = {
    Disposition.REPLACE: "Replace",
    Disposition.TEST_FIRST: "Test first",
    Disposition.REPAIR: "Repair",
    Disposition.CLEAN_AND_PROTECT: "Clean and protect",
    Disposition.MONITOR: "Monitor",
}
CONSEQUENCE_WORDS = {
    Consequence.CATASTROPHIC: "1 Catastrophic",
    Consequence.CRITICAL: "2 Critical",
    Consequence.MARGINAL: "3 Marginal",
    Consequence.NEGLIGIBLE: "4 Negligible",
}
LIKELIHOOD_WORDS = {
    Likelihood.A: "A Frequent",
    Likelihood.B: "B Probable",
    Likelihood.C: "C Occasional",
    Likelihood.D: "D Remote",
    Likelihood.E: "E Improbable",
    Likelihood.F: "F Eliminated",
}
SIDE_WORDS = {Side.LEFT: "left", Side.CENTRE: "centre", Side.RIGHT: "right"}

# Colours of the signal word panels: ANSI Z535.1 as renderings, inks for at least 4.5:1.
SIGNAL_TONES = {
    SignalWord.DANGER: Tone(fill="9B2423", ink="FFFFFF"),
    SignalWord.WARNING: Tone(fill="F08C00", ink="1B1B1C"),
    SignalWord.CAUTION: Tone(fill="F9D400", ink="1B1B1C"),
    SignalWord.NOTICE: Tone(fill="005387", ink="FFFFFF"),
}
HV_TONE = Tone(fill="F9D400", ink="1B1B1C")

_FACT_WORDS = {
    "component": "the part",
    "damage": "the damage",
    "zone": "the zone",
    "side": "the side",
    "length_mm": "the length",
    "width_mm": "the width",
    "depth_mm": "the depth",
    "distance_to_hv_mm": "the distance to the nearest HV part",
    "distance_uncertainty_mm": "the uncertainty of that distance",
    "covers_off": "whether covers were off",
    "hv_conductor_visible": "whether an HV conductor is visible",
    "hangs_free": "whether a cable end hangs free",
    "system_voltage_v": "the system voltage",
}


def risk_tone(risk: Risk) -> Tone:
    """Return the colours of a risk level, the same as those of its marks."""
    style = MARK_STYLES[risk]
    return Tone(fill=style.colour.lstrip("#"), ink=style.ink.lstrip("#"))


def risk_word(risk: Risk) -> str:
    return MARK_STYLES[risk].word


def fact_words(name: str) -> str:
    """Return what a fact that nobody gave is called; an unknown name gets spaces."""
    return _FACT_WORDS.get(name, name.replace("_", " "))


def component_label(tags: Tags, rulebook: Rulebook) -> str:
    if tags.component is None or tags.component == UNIDENTIFIED_COMPONENT:
        return "Part not identified"
    known = rulebook.components.get(tags.component)
    return known.label if known else f"{tags.component} (not in this rule book)"


def damage_label(tags: Tags, rulebook: Rulebook) -> str:
    if tags.damage is None or tags.damage == UNIDENTIFIED_DAMAGE:
        return "damage not identified"
    known = rulebook.damage_types.get(tags.damage)
    return lower_first(known.label) if known else f"{tags.damage} (not in this rule book)"


def is_unidentified(tags: Tags) -> bool:
    return tags.component in (None, UNIDENTIFIED_COMPONENT) or tags.damage in (
        None,
        UNIDENTIFIED_DAMAGE,
    )


def place_label(tags: Tags, rulebook: Rulebook) -> str:
    """Zone and side in words; says what was not recorded."""
    zone = rulebook.zones.get(tags.zone) if tags.zone else None
    zone_words = zone.label if zone else (tags.zone or "Zone not recorded")
    side_words = SIDE_WORDS[tags.side] if tags.side else "side not recorded"
    return f"{zone_words}, {side_words}"


def known_place(tags: Tags, rulebook: Rulebook) -> str:
    """Zone and side as far as recorded, with a comma before each; empty when neither is."""
    zone = rulebook.zones.get(tags.zone) if tags.zone else None
    words = [zone.label if zone else "", SIDE_WORDS[tags.side] if tags.side else ""]
    return "".join(f", {lower_first(word)}" for word in words if word)


def finding_name(finding: Finding, rulebook: Rulebook) -> str:
    """Such as "HV cable: severed"."""
    return f"{component_label(finding.tags, rulebook)}: {damage_label(finding.tags, rulebook)}"


def designation(title: str) -> str:
    """Return a document's designation, such as "49 CFR 571.305"; the list of sources has it all."""
    short = title.split(",", 1)[0]
    return short if any(sign.isdigit() for sign in short) else title


def lower_first(text: str) -> str:
    """``text`` with a small first letter, unless its first word is an abbreviation such as HV."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def millimetres(value: float | None) -> str:
    return NOT_MEASURED if value is None else f"{number(value)} mm"


def number(value: float | Decimal) -> str:
    """Return a number without needless digits: 12, 3.5, 1,250."""
    return f"{value:,.2f}".rstrip("0").rstrip(".")


def sizes(finding: Finding) -> str:
    return (
        f"Length {_with_interval(finding, Size.LENGTH)}; "
        f"width {_with_interval(finding, Size.WIDTH)}; "
        f"depth {millimetres(finding.tags.measures.depth_mm)}"
    )


def _with_interval(finding: Finding, size: Size) -> str:
    """Return a size; one from a photo with its 95 % interval, of which the upper end counts."""
    measures = finding.tags.measures
    words = millimetres(getattr(measures, size.value))
    source = measures.source_of(size)
    if source is None:
        return words
    if outline_changed(finding, source):
        return f"{words}, but its outline was changed since, so it counts as not measured"
    return f"{words} ({number(source.low_mm)} to {number(source.high_mm)} mm, 95 %, from a photo)"


def distance(finding: Finding) -> str:
    """Return the distance to HV with all that qualifies it; what is missing counts as worse."""
    measures = finding.tags.measures
    if measures.distance_to_hv_mm is None:
        return "not measured; counts as near"
    source = measures.source_of(Size.DISTANCE_TO_HV)
    if source is not None and outline_changed(finding, source):
        return "outline changed since it was measured; counts as near"
    words = millimetres(measures.distance_to_hv_mm)
    if measures.distance_uncertainty_mm is None:
        words += ", uncertainty not recorded"
    else:
        words += f" ± {number(measures.distance_uncertainty_mm)} mm (95 %)"
    covers = {
        True: "measured with covers off",
        False: "measured with covers on, so it does not count",
        None: "covers on or off not recorded, so it does not count",
    }
    return f"{words}; {covers[measures.covers_off]}"


def yes_no(answer: bool | None) -> str:  # noqa: FBT001 - the answer is the only thing asked for
    return {True: "yes", False: "no", None: NOT_RECORDED}[answer]


def moment(at: datetime) -> str:
    """Return a moment in UTC, such as "4 May 2031, 12:00 UTC"."""
    utc = at.astimezone(UTC)
    return f"{utc.day} {utc:%B %Y, %H:%M} UTC"


def camera_time(at: datetime | None) -> str:
    """Return what the camera's own clock said."""
    return "no time in the file" if at is None else f"{at:%Y-%m-%d %H:%M:%S}"


def or_not_recorded(text: str) -> str:
    return text.strip() or NOT_RECORDED


def count(how_many: int, one: str, many: str | None = None) -> str:
    """Such as "1 finding" or "3 findings"."""
    return f"{how_many} {one if how_many == 1 else many or one + 's'}"


def listed(words: Iterable[str]) -> str:
    """Such as "1, 2 and 5"."""
    every = list(words)
    return " and ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def numbers_listed(numbers: Iterable[int]) -> str:
    """Such as "1 to 9, 12 and 14": three or more in a row are drawn together."""
    spans: list[list[int]] = []
    for value in sorted(numbers):
        if spans and value == spans[-1][-1] + 1:
            spans[-1].append(value)
        else:
            spans.append([value])
    words: list[str] = []
    for span in spans:
        words += [f"{span[0]} to {span[-1]}"] if len(span) > 2 else [str(value) for value in span]
    return listed(words)


def photo_names(case: Case) -> dict[PhotoId, str]:
    """Return the photos' names in the report, by their order in the case: 01, 02, ..."""
    digits = max(2, len(str(len(case.photos))))
    return {
        photo.id: f"{position:0{digits}d}" for position, photo in enumerate(case.photos, start=1)
    }


def photo_title(photo: Photo, names: Mapping[PhotoId, str]) -> str:
    return f"Photo {names[photo.id]}"


def shown_name(text: str, *, longest: int = 120) -> str:
    """Return a typed name on one line, cut where it is unreasonably long."""
    line = one_line(text)
    return line if len(line) <= longest else f"{line[: longest - 1]}…"


def rule_words(reason: Reason) -> str:
    """Such as "HVF-001", or "the shop's own rule SHOP-001"."""
    is_shops = reason.origin is Origin.SHOP
    return f"the shop's own rule {reason.rule_id}" if is_shops else reason.rule_id
