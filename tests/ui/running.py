"""The real server as a program of its own, on a free port and a folder of its own."""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

CODE = re.compile(r"[A-Z2-9]{4}(-[A-Z2-9]{4}){2}")
PATIENCE_S = 90


class Running:
    """A started server: ``line`` is what it said first, ``output`` everything so far."""

    def __init__(self, process: "subprocess.Popen[bytes]", log: Path) -> None:
        self._process = process
        self._log = log
        self.line = self._first_line()

    @property
    def output(self) -> str:
        return self._log.read_text(encoding="utf-8", errors="replace")

    @property
    def address(self) -> str:
        found = re.search(r"http://127\.0\.0\.1:\d+", self.line)
        assert found, self.output
        return found.group()

    def _first_line(self) -> str:
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until and self._process.poll() is None:
            found = re.search(r"^.*is running\. Open .*\n", self.output, re.MULTILINE)
            if found:
                return found.group()
            time.sleep(0.2)
        raise AssertionError(f"the server did not say where it is: {self.output}")


def started(folder: Path, **settings: str) -> "subprocess.Popen[bytes]":
    environment = {name: said for name, said in os.environ.items() if "UNDERBODY" not in name}
    environment |= {
        "UNDERBODY_CASES": f"sqlite:///{(folder / 'cases.db').as_posix()}",
        "UNDERBODY_FILES": f"file://{(folder / 'files').as_posix()}",
        "UNDERBODY_PORT": "0",
        "PYTHONPATH": str(Path(__file__).parents[2]),
        **settings,
    }
    with (folder / "log.txt").open("wb") as log:
        return subprocess.Popen(
            [sys.executable, "-m", "triage_app.ui.server"],
            cwd=folder,
            env=environment,
            stdout=log,
            stderr=subprocess.STDOUT,
        )
