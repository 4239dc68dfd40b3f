"""TOML tables -> Rulebook, whole or not at all."""

import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from types import MappingProxyType

from rules.evidence_rule import EvidenceBook
from rules.model import RulebookStamp
from rules.proofs.overlay import overlay_faults
from rules.reading.case_rules import (
    QUARANTINE_FILE,
    TRANSPORT_FILE,
    QuarantineTable,
    TransportTable,
)
from rules.reading.evidence import EvidenceReader
from rules.reading.evidence_examples import EvidenceExampleReader
from rules.reading.examples import ExampleReader
from rules.reading.judgements import PREFIXES, Words, read_rules, read_stop_rules
from rules.reading.overlay import read_overlay
from rules.reading.pairs import pair_rules
from rules.reading.rows import Row
from rules.reading.total_loss import TOTAL_LOSS_FILE, read_total_loss
from rules.reading.words import (
    Document,
    RiskTable,
    SignalTable,
    read_actions,
    read_components,
    read_damage_types,
    read_facts,
    read_open_tests,
    read_sources,
    read_travel_lines,
    read_zones,
    safing_by_flag,
)
from rules.reading.work import OPERATIONS_FILE, OUTCOMES_FILE, read_work
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.seen import Vocabulary
from rules.terms import RulebookError, RuleId

FILES = (
    "actions.toml",
    "book.toml",
    "components.toml",
    "damage_types.toml",
    "evidence.toml",
    "examples.toml",
    "examples_evidence.toml",
    "facts.toml",
    "open_tests.toml",
    OPERATIONS_FILE,
    QUARANTINE_FILE,
    "risk_matrix.toml",
    "signal_words.toml",
    "sources.toml",
    "stop_signs.toml",
    OUTCOMES_FILE,
    TOTAL_LOSS_FILE,
    TRANSPORT_FILE,
    "travel_lines.toml",
    "zones.toml",
    *PREFIXES,
)


def load_rulebook(folder: Path | None = None, *, overlay: Path | None = None) -> Rulebook:
    """Return the rule book in ``folder``, or the one that comes with this package.

    With ``overlay`` the shop's own rules in that file lie over it. Raises RulebookError, naming
    file, row and field, if anything at all is wrong with either: an overlay that cannot be used, or
    that would lower anything, never leaves the book without it.
    """
    ours = _load_ours(folder)
    return ours if overlay is None else lay_over(ours, overlay)


def lay_over(ours: Rulebook, overlay: Path) -> Rulebook:
    """Return a loaded book with the shop's own rules over it; raises like ``load_rulebook``."""
    both = read_overlay(overlay, ours)
    for fault in overlay_faults(ours, both):
        raise RulebookError(fault)
    return both


def _load_ours(folder: Path | None) -> Rulebook:
    contents = _read(folder)
    documents = {name: _parse(name, content) for name, content in contents.items()}
    book = Row("book.toml", "book", documents["book.toml"])
    stamp = RulebookStamp(revision=book.text("revision"), sha256=_digest(contents))
    title = book.text("title")
    book.finish()
    return _assemble(documents, stamp, title)


def _assemble(documents: Mapping[str, Document], stamp: RulebookStamp, title: str) -> Rulebook:
    zones = read_zones(documents["zones.toml"])
    sources = read_sources(documents["sources.toml"])
    risk = RiskTable(documents["risk_matrix.toml"], sources)
    words = Words(
        components=read_components(documents["components.toml"], zones),
        damage_types=read_damage_types(documents["damage_types.toml"]),
        actions=read_actions(documents["actions.toml"]),
        open_tests=read_open_tests(documents["open_tests.toml"]),
        facts=read_facts(documents["facts.toml"], sources),
    )
    signals = SignalTable(documents["signal_words.toml"], words.facts)
    rules = read_rules(documents, words)
    stop_rules = read_stop_rules(documents["stop_signs.toml"], words)
    signs = frozenset(rule.sign for rule in stop_rules.values())
    quarantine = QuarantineTable(documents[QUARANTINE_FILE], words, signs)
    transport = TransportTable(documents[TRANSPORT_FILE], words, signs)
    ids = [*rules, *stop_rules, *quarantine.rules, *transport.rules]
    example_reader = ExampleReader(words, zones, ids, signs)
    return Rulebook(
        stamp=stamp,
        title=title,
        components=words.components,
        damage_types=words.damage_types,
        zones=zones,
        actions=words.actions,
        open_tests=words.open_tests,
        sources=sources,
        facts=words.facts,
        rules=MappingProxyType(dict(rules)),
        stop_rules=MappingProxyType(dict(stop_rules)),
        evidence=_evidence(documents, words, rules, example_reader),
        quarantine_rules=quarantine.rules,
        quarantine_levels=quarantine.levels,
        transport_rules=transport.rules,
        transport_classes=transport.classes,
        un_numbers=transport.un_numbers,
        risk_matrix=MappingProxyType(risk.matrix),
        risk_citation=risk.citation,
        consequences=risk.consequences,
        likelihoods=risk.likelihoods,
        signal_words=signals.meanings,
        least_signal_word=signals.least,
        hv_signal_word=signals.for_hv,
        safing_actions=safing_by_flag(words.actions),
        examples=example_reader.read(documents["examples.toml"]),
        pairs=pair_rules(words.components, words.damage_types, rules),
        vocabulary=Vocabulary(
            components=words.components,
            damage_types=words.damage_types,
            zones=zones,
            travel_lines=read_travel_lines(documents["travel_lines.toml"], zones),
        ),
        signs=signs,
        work=read_work(documents[OPERATIONS_FILE], documents[OUTCOMES_FILE], words, zones),
        total_loss=read_total_loss(documents[TOTAL_LOSS_FILE]),
    )


def _evidence(
    documents: Mapping[str, Document],
    words: Words,
    rules: Mapping[RuleId, Rule],
    examples: ExampleReader,
) -> EvidenceBook:
    book = EvidenceReader(words, rules).read(documents["evidence.toml"])
    reader = EvidenceExampleReader(examples, words, frozenset(row.id for row in book.rules))
    return replace(book, examples=reader.read(documents["examples_evidence.toml"]))


def _read(folder: Path | None) -> dict[str, bytes]:
    tables = resources.files("rules") / "tables" if folder is None else folder
    try:
        found = {item.name: item for item in tables.iterdir() if item.name.endswith(".toml")}
    except OSError as error:
        raise RulebookError(f"The folder of the rule book cannot be read: {error}") from error
    for name in sorted(set(FILES) ^ set(found)):
        raise RulebookError(f"{name}: {'is missing.' if name in FILES else 'is not expected.'}")
    try:
        # A checkout may turn line ends; the stamp must not depend on that.
        return {name: found[name].read_bytes().replace(b"\r\n", b"\n") for name in FILES}
    except OSError as error:
        raise RulebookError(f"The rule book cannot be read: {error}") from error


def _parse(name: str, content: bytes) -> Document:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise RulebookError(f"{name}: is not valid TOML in UTF-8: {error}") from error


def _digest(contents: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256()
    for name in sorted(contents):
        digest.update(f"{name}\0{len(contents[name])}\0".encode())
        digest.update(contents[name])
    return digest.hexdigest()
