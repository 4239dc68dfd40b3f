"""A shop's file over our book -> one Rulebook, whole or not at all. Nothing of ours is changed."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from rules.example import Example
from rules.model import OverlayStamp, RulebookStamp
from rules.overlay import Change, Overlay
from rules.reading.examples import ExampleReader
from rules.reading.judgements import refuse_dangling, refuse_doubles
from rules.reading.overlay_evidence import read_stricter_evidence
from rules.reading.overlay_rows import ShopFile, read_file
from rules.reading.overlay_rules import ShopRules, read_shop_rules
from rules.reading.overlay_words import ShopWords, read_words
from rules.reading.pairs import pair_rules
from rules.reading.words import safing_by_flag
from rules.rulebook import Rulebook
from rules.seen import Vocabulary
from rules.terms import RulebookError, RuleId

_LONGEST_FAULT = 400


def read_overlay(path: Path, ours: Rulebook) -> Rulebook:
    """Return our book with the shop's file over it; what it proves is for ``overlay_faults``.

    Raises RulebookError, one line that names file, row and field, for anything that is not allowed.
    """
    try:
        content = read_file(path)
        return _laid_over(ShopFile(path.name, content), content, ours)
    except RulebookError as error:
        raise RulebookError(_one_line(str(error))) from error


def _laid_over(file: ShopFile, content: bytes, ours: Rulebook) -> Rulebook:
    stamp = _stamp(file, content)
    shop_words = read_words(file, ours)
    words = shop_words.words
    shop = read_shop_rules(file, words, ours)
    evidence, held_back = read_stricter_evidence(file, words, ours)
    if not (shop_words.changes or shop.changes or held_back):
        raise RulebookError(f"{file.name}, overlay: adds nothing and tightens nothing.")
    rules = {**ours.rules, **shop.rules}
    refuse_dangling(rules)
    refuse_doubles(rules.values())
    return replace(
        ours,
        stamp=_stamp_of_both(ours.stamp, stamp),
        components=words.components,
        damage_types=words.damage_types,
        zones=shop_words.zones,
        actions=words.actions,
        open_tests=words.open_tests,
        sources=shop_words.sources,
        facts=words.facts,
        rules=MappingProxyType(rules),
        stop_rules=MappingProxyType({**ours.stop_rules, **shop.stop_rules}),
        evidence=evidence,
        safing_actions=safing_by_flag(words.actions),
        examples=(*ours.examples, *_examples(file, shop_words, shop, ours)),
        pairs=pair_rules(words.components, words.damage_types, rules),
        vocabulary=Vocabulary(
            components=words.components,
            damage_types=words.damage_types,
            zones=shop_words.zones,
            travel_lines=ours.vocabulary.travel_lines,
        ),
        overlay=_overlay(file, stamp, (*shop_words.changes, *shop.changes, *held_back), shop),
    )


def _stamp(file: ShopFile, content: bytes) -> OverlayStamp:
    header = file.header()
    stamp = OverlayStamp(
        name=header.text("name"),
        revision=header.text("revision"),
        sha256=hashlib.sha256(content).hexdigest(),
    )
    header.text("owner")
    header.finish()
    return stamp


def _stamp_of_both(ours: RulebookStamp, shop: OverlayStamp) -> RulebookStamp:
    both = hashlib.sha256(f"{ours.sha256}\0{shop.sha256}".encode()).hexdigest()
    return RulebookStamp(revision=ours.revision, sha256=both, overlay=shop)


def _overlay(
    file: ShopFile, stamp: OverlayStamp, changes: tuple[Change, ...], shop: ShopRules
) -> Overlay:
    return Overlay(
        file=file.name,
        name=stamp.name,
        revision=stamp.revision,
        owner=file.header().text("owner"),
        sha256=stamp.sha256,
        changes=changes,
        without_example=MappingProxyType(dict(shop.without_example)),
    )


def _examples(
    file: ShopFile, words: ShopWords, shop: ShopRules, ours: Rulebook
) -> Iterator[Example]:
    own: Mapping[RuleId, object] = {**shop.rules, **shop.stop_rules}
    reader = ExampleReader(words.words, words.zones, own, ours.signs)
    for row in file.rows("example"):
        example = reader.example(row)
        if example.rule in shop.without_example:
            raise row.fault("rule", "has an example, and says elsewhere why it has none.")
        yield example


def _one_line(text: str) -> str:
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= _LONGEST_FAULT else line[: _LONGEST_FAULT - 1] + "…"
