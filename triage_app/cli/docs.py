"""Write the generated part of the reference: ``python -m triage_app.cli.docs [FOLDER]``.

``--check`` writes nothing and ends with status 1 when a page is not as it would be written.
"""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from rules import load_rulebook
from triage_app.cli.documents import DOCUMENTS, schema_of
from triage_app.cli.program import build_parser
from triage_app.cli.reference_commands import commands_page
from triage_app.cli.reference_rules import rules_page
from triage_app.cli.reference_shapes import (
    case_file_fields,
    documents_page,
    settings_page,
)

FOLDER = Path("docs") / "reference"
CASE_FILE_PAGE = "case-toml.md"
_BEGIN, _END = "<!-- generated: fields -->", "<!-- end of generated -->"


def pages(folder: Path) -> Mapping[Path, str]:
    """Return what each generated file under ``folder`` should hold."""
    made = {
        folder / "cli.md": commands_page(build_parser()),
        folder / "settings.md": settings_page(),
        folder / "rules.md": rules_page(load_rulebook()),
        folder / "json.md": documents_page(),
        folder / CASE_FILE_PAGE: _with_fields(folder / CASE_FILE_PAGE),
    }
    for name in DOCUMENTS:
        text = json.dumps(schema_of(name), indent=2, ensure_ascii=False)
        made[folder / "schemas" / f"{name}.schema.json"] = text + "\n"
    return made


def stale(folder: Path) -> list[Path]:
    """Return the files that differ from what would be written."""
    return [
        path
        for path, text in pages(folder).items()
        if not path.is_file() or path.read_text(encoding="utf-8") != text
    ]


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Write the generated reference pages.")
    parser.add_argument("folder", metavar="FOLDER", type=Path, nargs="?", default=FOLDER)
    parser.add_argument("--check", action="store_true", help="only tell which pages are stale")
    options = parser.parse_args(argv)
    if options.check:
        for path in stale(options.folder):
            print(f"{path} is not fresh; write it with: make docs", file=sys.stderr)
        return 1 if stale(options.folder) else 0
    for path, text in pages(options.folder).items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    return 0


def _with_fields(path: Path) -> str:
    """Return the hand-written page of the case file with its list of fields written anew."""
    text = path.read_text(encoding="utf-8")
    before, begin, rest = text.partition(_BEGIN)
    _, end, after = rest.partition(_END)
    if not begin or not end:
        raise SystemExit(f"{path} has lost the marks '{_BEGIN}' and '{_END}'.")
    return f"{before}{_BEGIN}\n\n{case_file_fields()}\n{_END}{after}"


if __name__ == "__main__":
    sys.exit(main())
