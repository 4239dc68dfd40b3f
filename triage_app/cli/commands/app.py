"""demo, serve: start the app as a process of its own, so that no screen is imported here."""

import argparse
import os
import signal
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path
from types import FrameType
from urllib.parse import quote

import triage_app
from triage_app.cli.command import Command, Desk
from triage_app.domain.errors import InvalidInputError, StorageError
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services.demo import load_demo
from triage_app.services.people import new_code
from triage_app.settings import Settings

DEMO_FOLDER = Path("data") / "demo"
DEMO_OPERATOR = "Demo senior technician (invented)"
# The case file accepts the evidence that it records, which only a senior technician may; the demo's
# people are made by an administrator.
DEMO_ROLES = frozenset({Role.ESTIMATOR, Role.SENIOR_TECHNICIAN, Role.ADMINISTRATOR})
_APP_MODULE = "triage_app.ui.server"
_STOP_SECONDS = 10


def _serve_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--address", metavar="HOST", help="where the app listens (UNDERBODY_ADDRESS)"
    )
    parser.add_argument(
        "--port", metavar="N", type=int, help="port of the app; 0 takes a free one (UNDERBODY_PORT)"
    )


def _serve(options: argparse.Namespace, desk: Desk) -> int:
    return start_app(_listening(options, desk.settings))


def _demo_arguments(parser: argparse.ArgumentParser) -> None:
    _serve_arguments(parser)
    parser.add_argument(
        "--data",
        metavar="FOLDER",
        type=Path,
        default=DEMO_FOLDER,
        help="where the demo keeps its own cases, apart from the shop's (data/demo)",
    )
    parser.add_argument(
        "--load-only", action="store_true", help="load the demo case and do not start the app"
    )


def _demo(options: argparse.Namespace, desk: Desk) -> int:
    settings = _demo_settings(options, desk.settings)
    demo = desk.with_settings(settings)
    try:
        by = Operator(name=settings.operator or DEMO_OPERATOR, roles=DEMO_ROLES)
        reference = load_demo(demo.services, by=by).reference
        is_demo = demo.services.demo_people.make(settings.sign_in_code, by=by)
    finally:
        demo.close()
    print(f"Demo case {reference} is loaded; everything in it is invented.", flush=True)
    if not is_demo:
        print("This database has people of its own: sign in as one of them.", flush=True)
    settings = replace(settings, demo=is_demo)
    return 0 if options.load_only else start_app(_listening(options, settings))


def start_app(settings: Settings) -> int:
    """Run the app until it is stopped; it prints its own address. Return its exit status."""
    # -P and our own root first: a folder called "rules" where the person happens to stand must
    # not be taken for the rule book.
    root = str(Path(triage_app.__file__).resolve().parents[1])
    search_path = os.pathsep.join(filter(None, [root, os.environ.get("PYTHONPATH", "")]))
    environment = {**os.environ, **environment_of(settings), "PYTHONPATH": search_path}
    command = [sys.executable, "-P", "-m", _APP_MODULE]
    try:
        process = subprocess.Popen(command, env=environment)  # noqa: S603 - our own module
    except OSError as error:
        raise StorageError(f"The app cannot be started: {error.strerror}.") from error

    def pass_on(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as signal calls it
        process.terminate()

    before = signal.signal(signal.SIGTERM, pass_on)
    try:
        return process.wait()
    except KeyboardInterrupt:
        # The terminal sent the same Ctrl+C to the app: it only needs time to stop.
        return _stopped(process)
    finally:
        signal.signal(signal.SIGTERM, before)


def _stopped(process: subprocess.Popen[bytes]) -> int:
    try:
        process.wait(timeout=_STOP_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    return 0


def environment_of(settings: Settings) -> dict[str, str]:
    """Return the settings as environment variables, as ``Settings.from_environment`` reads them."""
    values = {}
    for setting in fields(settings):
        value = getattr(settings, setting.name)
        shown = str(int(value)) if isinstance(value, bool) else str(value)
        values[setting.metadata["env"]] = shown
    return values


def _listening(options: argparse.Namespace, settings: Settings) -> Settings:
    port = settings.port if options.port is None else options.port
    if not 0 <= port <= 65_535:
        raise InvalidInputError(f"A port is a number from 0 to 65535, got {port}.")
    return replace(settings, address=options.address or settings.address, port=port)


def _demo_settings(options: argparse.Namespace, settings: Settings) -> Settings:
    folder = options.data.absolute().as_posix()
    # The shop's own database, which the environment may name, is left alone. A database URL is
    # quoted, or a "?" in the folder's name would end it; a files URL is taken as it stands.
    return replace(
        settings,
        cases_url=getattr(options, "cases", None) or f"sqlite:///{quote(folder)}/cases.db",
        files_url=getattr(options, "files", None) or f"file://{folder}/files",
        sign_in_code=settings.sign_in_code or new_code(),
    )


COMMANDS = (
    Command(
        name="demo",
        about="load the invented demo case and start the app on it",
        arguments=_demo_arguments,
        run=_demo,
    ),
    Command(
        name="serve",
        about="start the app; it prints the address to open",
        arguments=_serve_arguments,
        run=_serve,
    ),
)
