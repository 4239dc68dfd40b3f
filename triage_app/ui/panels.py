"""What can be unfolded on the triage page, one at a time."""

from enum import StrEnum


class Panel(StrEnum):
    """What can be unfolded under a finding, or under the case."""

    EVIDENCE = "evidence"
    WHAT_IF = "what if"
