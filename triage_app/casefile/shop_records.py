"""What a shop measured once, and what it has set for itself <-> JSON text."""

from dataclasses import make_dataclass

from pydantic import TypeAdapter, ValidationError

from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.cases import STRICT
from triage_app.domain.errors import StorageError
from triage_app.domain.scale import CardSide, LensRecord
from triage_app.domain.shop_settings import ShopSettings

_Record = CardSide | LensRecord | ShopSettings
_MEASURE_AGAIN = "What the shop measured once cannot be read; measure it again."
_PLAIN: TypeAdapter[_Record] = TypeAdapter(_Record)


def _holder(record: type) -> TypeAdapter[object]:
    return TypeAdapter(
        make_dataclass("Held", [("record", record)], namespace={"__pydantic_config__": STRICT})
    )


_HOLDERS = {kind: _holder(kind) for kind in (CardSide, LensRecord, ShopSettings)}


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


def settings_from_json(text: str) -> ShopSettings:
    """Return the shop's settings; StorageError if the text is none."""
    record = _read(ShopSettings, text, "The shop's settings cannot be read; save them again.")
    assert isinstance(record, ShopSettings)  # noqa: S101 - the holder reads nothing else
    return record


def _read(kind: type[_Record], text: str, sentence: str = _MEASURE_AGAIN) -> object:
    try:
        held = _HOLDERS[kind].validate_json(text)
    except ValidationError as error:
        raise StorageError(sentence) from error
    return held.record  # type: ignore[attr-defined]  # made by make_dataclass
