"""The chain finds every edit, removal and reordering."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.builders import NOON, SIGNED
from triage_app.domain.ids import CaseId
from triage_app.domain.journal import (
    FIRST_PREVIOUS_HASH,
    JournalEntry,
    entry_hash,
    first_bad_entry,
)
from triage_app.domain.signed import Signed


def chain(length: int) -> list[JournalEntry]:
    entries: list[JournalEntry] = []
    for sequence in range(1, length + 1):
        previous = entries[-1].entry_hash if entries else FIRST_PREVIOUS_HASH
        fields = {
            "kind": "photo added",
            "detail": f'{{"n":{sequence}}}',
            "case_sha256": f"{sequence:064x}",
        }
        hashed = entry_hash(
            case_id=CaseId("c"), sequence=sequence, signed=SIGNED, previous_hash=previous, **fields
        )
        entries.append(
            JournalEntry(
                case_id=CaseId("c"),
                sequence=sequence,
                signed=SIGNED,
                previous_hash=previous,
                entry_hash=hashed,
                **fields,
            )
        )
    return entries


def test_a_whole_chain_has_no_bad_entry() -> None:
    assert first_bad_entry(chain(5)) is None
    assert first_bad_entry([]) is None


@pytest.mark.parametrize(
    "edit",
    [
        pytest.param({"kind": "finding tagged"}, id="kind"),
        pytest.param({"detail": "{}"}, id="detail"),
        pytest.param({"case_sha256": "0" * 64}, id="case hash"),
        pytest.param({"signed": Signed(by="Somebody Else", at=NOON)}, id="person"),
        pytest.param({"signed": Signed(by=SIGNED.by, at=NOON.replace(hour=13))}, id="time"),
        pytest.param({"case_id": CaseId("other")}, id="case"),
        pytest.param({"sequence": 9}, id="sequence"),
        pytest.param({"previous_hash": "0" * 64}, id="link"),
        pytest.param({"entry_hash": "0" * 64}, id="own hash"),
    ],
)
def test_an_edit_of_any_field_is_found(edit: dict[str, object]) -> None:
    entries = chain(5)
    entries[2] = replace(entries[2], **edit)  # type: ignore[arg-type]  # one field per row
    assert first_bad_entry(entries) == 3


def test_a_removed_entry_is_found() -> None:
    entries = chain(5)
    del entries[2]
    assert first_bad_entry(entries) == 3


def test_two_swapped_entries_are_found() -> None:
    entries = chain(5)
    entries[1], entries[2] = entries[2], entries[1]
    assert first_bad_entry(entries) == 2


def test_text_cannot_move_from_one_field_to_the_next() -> None:
    """Fields are length-prefixed, so ("ab", "c") and ("a", "bc") hash differently."""

    def hashed(kind: str, detail: str) -> str:
        return entry_hash(
            case_id=CaseId("c"),
            sequence=1,
            signed=SIGNED,
            kind=kind,
            detail=detail,
            case_sha256="",
            previous_hash="",
        )

    assert hashed("ab", "c") != hashed("a", "bc")


def test_the_whole_chain_of_another_case_is_found() -> None:
    assert first_bad_entry(chain(3), case_id=CaseId("c")) is None
    assert first_bad_entry(chain(3), case_id=CaseId("d")) == 1


@given(length=st.integers(1, 12), data=st.data())
def test_whatever_is_done_to_a_chain_shows_at_the_first_place_that_differs(
    length: int, data: st.DataObject
) -> None:
    """Any choice of entries in any order, unless it is the chain or its beginning."""
    whole = chain(length)
    kept = data.draw(st.lists(st.sampled_from(range(length)), max_size=length + 2))
    forged = [whole[place] for place in kept]
    differs = next((n for n, place in enumerate(kept, start=1) if place != n - 1), None)
    assert first_bad_entry(forged) == differs
