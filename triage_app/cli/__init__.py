"""The command line ``underbody``: the same services as the app, without a screen."""

import sys
from collections.abc import Sequence

_FOREIGN_RULES = (
    "underbody: Python found another package called 'rules' where the rule book of this program "
    "should be; install Underbody Triage in a virtual environment of its own."
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command: 0 done, 1 refused with a sentence on stderr, 2 wrong usage.

    ``argv`` is without the program's name; None takes the process's own arguments.
    """
    if not _rules_are_ours():
        print(_FOREIGN_RULES, file=sys.stderr)
        return 1
    # Only now: nearly every module imports ``rules`` at its top, and would fail in its own way.
    from triage_app.cli.program import run  # noqa: PLC0415 - as the line above says

    return run(argv)


def _rules_are_ours() -> bool:
    try:
        import rules  # noqa: PLC0415 - a foreign one may fail as it is imported
    except ImportError:
        return False
    return hasattr(rules, "load_rulebook") and hasattr(rules, "UNIDENTIFIED_COMPONENT")
