"""Fetches a Vosk model through the loader in the package vosk, with progress that a screen reader can follow."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

_EVERY = 10  # percent between two lines of progress


class NoConnectionError(Exception):
    """The makers' server was not reached, or stopped answering."""


def bring(name: str, into: Path, say: Callable[[str], None]) -> None:
    """Load the model of that name into the folder `into`, as a folder of its own.

    `say` is told at every tenth part. Raises NoConnectionError, and OSError where nothing can be written.
    """
    import urllib.error
    import zipfile

    import vosk

    class Loader(vosk.Model):  # type: ignore[misc, name-defined, unused-ignore]
        """Vosk's loader without the model that it would open at once."""

        def __init__(self) -> None:
            pass

        def __del__(self) -> None:
            pass

        def download_progress_hook(self, _bar: object) -> Callable[[int, int, int], None]:
            told = 0

            def update(blocks: int, size: int, total: int) -> None:
                nonlocal told
                percent = min(100, 100 * blocks * size // total) if total > 0 else 0
                if percent >= told + _EVERY:
                    told = percent - percent % _EVERY
                    say(f"{told} percent.")

            return update

    try:
        Loader().download_model(into / name)
    except (urllib.error.URLError, ConnectionError, TimeoutError, zipfile.BadZipFile) as error:
        raise NoConnectionError(str(error)) from error
