"""What the printed book says of risk, parts, kinds of damage and zones."""

from collections.abc import Iterable

from rules import Citation, Component, Consequence, Likelihood, Rulebook, SignalWord
from triage_app.report import labels
from triage_app.report.blocks import Numbering, cell, heading, intro, risk_cell
from triage_app.report.model import Block, Cell, Table
from triage_app.report.rule_book import texts


def risk(book: Rulebook, numbering: Numbering) -> list[Block]:
    """Return the risk table, cell by cell, and what its rows and columns mean."""
    cited = book.risk_citation
    source = f"{book.sources[cited.source].title}, {cited.clause} ({cited.status.value})"
    columns = sorted(Consequence)
    matrix = Table(
        title=texts.RISK,
        header=("Likelihood", *(labels.CONSEQUENCE_WORDS[one] for one in columns)),
        rows=tuple(
            (
                cell(labels.LIKELIHOOD_WORDS[likelihood], strong=True),
                *(risk_cell(book.risk_matrix[one, likelihood]) for one in columns),
            )
            for likelihood in sorted(Likelihood)
        ),
        width_fracs=(0.2, 0.2, 0.2, 0.2, 0.2),
        caption=numbering.next("Table", f"Risk from likelihood and consequence. {source}."),
        stays_together=True,
    )
    consequences = [(labels.CONSEQUENCE_WORDS[one], book.consequences[one].says) for one in columns]
    likelihoods = [
        (labels.LIKELIHOOD_WORDS[one], book.likelihoods[one].says) for one in sorted(Likelihood)
    ]
    signals = [(one.name, book.signal_words[one].says) for one in sorted(SignalWord, reverse=True)]
    return [
        heading(1, texts.RISK, "risk"),
        intro(texts.RISK_INTRO),
        matrix,
        _meanings(texts.CONSEQUENCES, consequences, numbering),
        _meanings(texts.LIKELIHOODS, likelihoods, numbering),
        _meanings(texts.SIGNAL_WORDS, signals, numbering),
    ]


def advice(book: Rulebook, numbering: Numbering) -> list[Block]:
    """Return what each level of quarantine and each transport class asks for."""
    levels = [
        (each.label, f"{each.text} {_sources(book, each.citations)}")
        for _, each in sorted(book.quarantine_levels.items())
    ]
    classes = [
        (each.label, f"{each.text} {_packing(each.packing)}{_sources(book, each.citations)}")
        for _, each in sorted(book.transport_classes.items())
    ]
    numbers = [
        (each.number, f"{each.travels}. {_sources(book, each.citations)}")
        for each in book.un_numbers
    ]
    return [
        heading(1, texts.ADVICE, "advice"),
        intro(texts.ADVICE_INTRO),
        _meanings(texts.QUARANTINE, levels, numbering, stays_together=False),
        _meanings(texts.TRANSPORT, classes, numbering, stays_together=False),
        _meanings(texts.UN_NUMBERS, numbers, numbering),
    ]


def _packing(packing: Iterable[str]) -> str:
    listed = "; ".join(packing)
    return f"Packing instructions: {listed}. " if listed else ""


def _sources(book: Rulebook, citations: Iterable[Citation]) -> str:
    cited = dict.fromkeys(
        f"{labels.designation(book.sources[one.source].title)}, {one.clause} ({one.status.value})"
        if one.clause not in ("", "-")
        else f"{labels.designation(book.sources[one.source].title)} ({one.status.value})"
        for one in citations
    )
    return f"Source: {'; '.join(cited)}." if cited else ""


def _meanings(
    title: str,
    rows: Iterable[tuple[str, str]],
    numbering: Numbering,
    *,
    stays_together: bool = True,
) -> Table:
    return Table(
        title=title,
        header=("Word", "What it means here"),
        rows=tuple((cell(name, strong=True), cell(says)) for name, says in rows),
        width_fracs=(0.2, 0.8),
        caption=numbering.next("Table", f"{title}."),
        stays_together=stays_together,
    )


def parts(book: Rulebook, numbering: Numbering) -> list[Block]:
    return [
        heading(1, texts.PARTS, "parts", starts_page=True),
        intro(texts.PARTS_INTRO),
        Table(
            title=texts.PARTS,
            header=("Part", "What it is", "High voltage", "Found in"),
            rows=tuple(_part(book, part) for part in book.components.values()),
            width_fracs=(0.18, 0.42, 0.13, 0.27),
            caption=numbering.next("Table", "Parts, with the words that the trade also uses."),
        ),
    ]


def _part(book: Rulebook, part: Component) -> tuple[Cell, ...]:
    hv = "HV part" if part.is_hv else "HV behind" if part.hv_runs_behind else "none"
    return (
        cell(part.label, strong=True),
        cell(_described(part.description, part.synonyms)),
        cell(hv, strong=hv != "none"),
        cell(", ".join(book.zones[zone].label for zone in part.zones)),
    )


def damages(book: Rulebook, numbering: Numbering) -> list[Block]:
    return [
        heading(1, texts.DAMAGES, "damages"),
        Table(
            title=texts.DAMAGES,
            header=("Damage", "What it is", "Sizes that count"),
            rows=tuple(
                (
                    cell(damage.label, strong=True),
                    cell(_described(damage.description, damage.synonyms)),
                    cell(", ".join(map(labels.fact_words, damage.measures)) or "none"),
                )
                for damage in book.damage_types.values()
            ),
            width_fracs=(0.2, 0.56, 0.24),
            caption=numbering.next("Table", "Kinds of damage."),
        ),
    ]


def zones(book: Rulebook, numbering: Numbering) -> list[Block]:
    return [
        heading(1, texts.ZONES, "zones"),
        Table(
            title=texts.ZONES,
            header=("Zone", "What it is", "HV runs here", "Beside it"),
            rows=tuple(
                (
                    cell(zone.label, strong=True),
                    cell(zone.description),
                    cell("yes" if zone.hv_runs_here else "no", strong=zone.hv_runs_here),
                    cell(", ".join(book.zones[one].label for one in zone.adjacent)),
                )
                for zone in book.zones.values()
            ),
            width_fracs=(0.2, 0.37, 0.1, 0.33),
            caption=numbering.next("Table", "Zones. In doubt, a zone counts as having HV."),
        ),
    ]


def _described(description: str, synonyms: Iterable[str]) -> str:
    also = ", ".join(synonyms)
    return f"{description} Also called: {also}." if also else description
