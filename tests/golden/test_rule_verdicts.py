"""Every verdict of the rule book, as digests: whoever changes an answer sees which lines change.

After a wanted change run with UPDATE_GOLDENS=1, or ``python -m rules verdicts``, and review the
difference line by line.
"""

import os
from pathlib import Path

from rules import load_rulebook
from rules.proofs.verdicts import verdict_lines

GOLDEN = Path(__file__).parent / "rules" / "verdicts.txt"


def test_every_verdict_of_the_book_is_the_reviewed_one() -> None:
    lines = list(verdict_lines(load_rulebook()))
    if os.environ.get("UPDATE_GOLDENS") == "1":
        GOLDEN.parent.mkdir(exist_ok=True)
        GOLDEN.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert lines == GOLDEN.read_text(encoding="utf-8").splitlines()
