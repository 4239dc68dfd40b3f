"""Manifest <-> JSON: what a bundle or a backup holds, each file with its hash."""

from dataclasses import dataclass
from typing import ClassVar, Final, Literal

from pydantic import ConfigDict, TypeAdapter, ValidationError

from triage_app.casefile import versions
from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.cases import STRICT
from triage_app.casefile.faults import sentence
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import Sha256

MANIFEST_FORMAT: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One file. ``original_sha256`` is given where it is a cleaned copy of an original."""

    name: str
    sha256: Sha256
    byte_count: int
    original_sha256: Sha256 | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BundleManifest:
    """One case as a file. Every other member of the bundle is listed."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT
    format: Literal[1]
    kind: Literal["case bundle"]
    case_id: str
    reference: str
    for_insurer: bool
    journal_head: str
    journal_count: int
    members: tuple[Member, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupManifest:
    """All cases as a file. ``missing`` names files that were lost before the backup was made."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT
    format: Literal[1]
    kind: Literal["backup"]
    case_count: int
    members: tuple[Member, ...]
    missing: tuple[Sha256, ...] = ()


_BUNDLE: TypeAdapter[BundleManifest] = TypeAdapter(BundleManifest)
_BACKUP: TypeAdapter[BackupManifest] = TypeAdapter(BackupManifest)


def manifest_to_json(manifest: BundleManifest | BackupManifest) -> str:
    """Return the manifest as canonical JSON."""
    if isinstance(manifest, BundleManifest):
        return canonical_json(_BUNDLE.dump_python(manifest, mode="json"))
    return canonical_json(_BACKUP.dump_python(manifest, mode="json"))


def bundle_manifest_from_json(text: str) -> BundleManifest:
    """Return the manifest of a bundle; InvalidInputError names the first fault."""
    try:
        return _BUNDLE.validate_json(text)
    except ValidationError as error:
        raise _refusal("The bundle's manifest", text, error) from error


def backup_manifest_from_json(text: str) -> BackupManifest:
    """Return the manifest of a backup; InvalidInputError names the first fault."""
    try:
        return _BACKUP.validate_json(text)
    except ValidationError as error:
        raise _refusal("The backup's manifest", text, error) from error


def _refusal(what: str, text: str, error: ValidationError) -> InvalidInputError:
    versions.refuse_other_format(what, text, MANIFEST_FORMAT)
    return InvalidInputError(sentence(what, text, error))
