"""Run commands in this process, each on a data folder of the test's own."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from triage_app.cli import main
from triage_app.domain.permissions import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What one command answered."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:  # Any: tests look into documents of many shapes
        return json.loads(self.out)

    def refused(self, *words: str) -> None:
        """Check that it ended with one plain sentence that holds these words."""
        assert self.status == 1, self
        self._one_sentence()
        for word in words:
            assert word in self.err

    def broken_journal(self, *words: str) -> None:
        """Check that it ended as for a journal that is not the one written, in one sentence."""
        assert self.status == 3, self
        self._one_sentence()
        for word in words:
            assert word in self.err

    def wrong_usage(self, *words: str) -> None:
        assert self.status == 2, self
        for word in words:
            assert word in self.err

    def _one_sentence(self) -> None:
        lines = self.err.splitlines()
        assert len(lines) == 1, self.err
        assert lines[0].startswith("underbody: ")
        assert "Traceback" not in self.err


class Shell:
    """Runs ``underbody`` with the data of one folder; ``by`` is the operator, in every role."""

    def __init__(
        self, folder: Path, capsys: pytest.CaptureFixture[str], *, by: str | None = "Ada Nowak"
    ) -> None:
        self.folder = folder
        self._capsys = capsys
        self._by = by

    @property
    def cases_url(self) -> str:
        return f"sqlite:///{self.folder.as_posix()}/cases.db"

    @property
    def files_url(self) -> str:
        return f"file://{self.folder.as_posix()}/files"

    def run(self, *argv: str | Path) -> Said:
        options: Sequence[str] = ["--cases", self.cases_url, "--files", self.files_url]
        by = [] if self._by is None else ["--by", self._by]
        self._capsys.readouterr()
        status = main([*options, *by, "--role", ",".join(Role), *map(str, argv)])
        told = self._capsys.readouterr()
        return Said(status=status, out=told.out, err=told.err)

    def must(self, *argv: str | Path) -> Said:
        """Run a command that the test only needs done."""
        said = self.run(*argv)
        assert said.status == 0, said
        assert said.err == ""
        return said

    def case(self, reference: str = "R-1") -> Any:  # Any: as above
        return self.must("show", reference, "--json").json
