"""Keeps Pillow's warnings about odd metadata from reaching anybody while a photo is decoded."""

import threading
import warnings
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager


class QuietPillow:
    """``warnings`` is one for all threads, so only the first in and the last out touch it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._inside = 0
        self._restore = ExitStack()

    @contextmanager
    def __call__(self) -> Iterator[None]:
        with self._lock:
            if self._inside == 0:
                self._restore.enter_context(warnings.catch_warnings())
                warnings.filterwarnings("ignore", module=r"PIL\.|pillow_heif")
            self._inside += 1
        try:
            yield
        finally:
            with self._lock:
                self._inside -= 1
                if self._inside == 0:
                    self._restore.close()
