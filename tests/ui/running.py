"""The real server as a program of its own, on a free port and a folder of its own."""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

from tests.people import a_person
from triage_app.bootstrap import open_services
from triage_app.settings import Settings

CODE = re.compile(r"[A-Z2-9]{4}(-[A-Z2-9]{4}){2}")
PATIENCE_S = 90


class Running:
    """A started server: ``line`` is what it said first, ``output`` everything so far."""

    def __init__(self, process: "subprocess.Popen[bytes]", log: Path) -> None:
        self._process = process
        self._log = log
        self.folder = log.parent
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


def settings_of(folder: Path) -> Settings:
    """Return the settings of what ``started`` runs in this folder, to make people and cases."""
    return Settings(
        cases_url=f"sqlite:///{(folder / 'cases.db').as_posix()}",
        files_url=f"file://{(folder / 'files').as_posix()}",
    )


def with_person(folder: Path, name: str) -> None:
    """Give this person an account in every role, where they have none yet; PASSWORD opens it."""
    services = open_services(settings_of(folder))
    try:
        a_person(services, name)
    finally:
        services.close()


def started(folder: Path, **settings: str) -> "subprocess.Popen[bytes]":
    environment = {name: said for name, said in os.environ.items() if "UNDERBODY" not in name}
    places = settings_of(folder)
    environment |= {
        "UNDERBODY_CASES": places.cases_url,
        "UNDERBODY_FILES": places.files_url,
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
