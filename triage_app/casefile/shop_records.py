"""What a shop measured once <-> JSON text."""

from dataclasses import make_dataclass

from pydantic import TypeAdapter, ValidationError

from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.cases import STRICT
from triage_app.domain.errors import StorageError
from triage_app.domain.scale import CardSide, LensRecord

_Record = CardSide | LensRecord
_PLAIN: TypeAdapter[_Record] = TypeAdapter(_Record)


def _holder(record: type) -> TypeAdapter[object]:
    return TypeAdapter(
        make_dataclass("Held", [("record", record)], namespace={"__pydantic_config__": STRICT})
    )


_HOLDERS = {CardSide: _holder(CardSide), LensRecord: _holder(LensRecord)}


def shop_record_to_json(record: _Record) -> str:
    """Return the record as canonical JSON."""
    return canonical_json({"record": _PLAIN.dump_python(record, mode="json")})


def card_side_from_json(text: str) -> CardSide:
    """Return a card's side; StorageError if the text is none."""
    record = _read(CardSide, text)
    assert isinstance(record, CardSide)  # noqa: S101 - the holder reads nothing else
    return record


def lens_from_json(text: str) -> LensRecord:
    """Return a lens; StorageError if the text is none."""
    record = _read(LensRecord, text)
    assert isinstance(record, LensRecord)  # noqa: S101 - the holder reads nothing else
    return record


def _read(kind: type[_Record], text: str) -> object:
    try:
        held = _HOLDERS[kind].validate_json(text)
    except ValidationError as error:
        raise StorageError(
            "What the shop measured once cannot be read; measure it again."
        ) from error
    return held.record  # type: ignore[attr-defined]  # made by make_dataclass
