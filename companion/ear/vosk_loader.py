"""Fetches a Vosk model through the loader in the package vosk, with progress that a screen reader can follow."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from companion.errors import MakerError

_EVERY = 10  # percent between two lines of progress
_TIMEOUT = 15.0  # seconds without a byte, after which there is no connection


NOT_INSTALLED = "The second ear is not installed; run `pip install vosk`, or go on with the embedded ear."


class NotInstalledError(MakerError):
    """The package vosk is not here, or cannot be loaded on this machine."""


class NoConnectionError(Exception):
    """The makers' server was not reached, or stopped answering."""


class ServerError(Exception):
    """The makers' server was reached and refuses; the message says how."""


def bring(name: str, into: Path, say: Callable[[str], None]) -> None:
    """Load the model of that name into the folder `into`, as a folder of its own.

    `say` is told at every tenth part. Raises NotInstalledError, NoConnectionError, ServerError, and OSError
    where nothing can be written.
    """
    import contextlib
    import http.client
    import io
    import socket
    import urllib.error
    import zipfile

    try:
        import vosk
    except (ImportError, OSError) as error:
        raise NotInstalledError(NOT_INSTALLED) from error

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

    before = socket.getdefaulttimeout()
    socket.setdefaulttimeout(_TIMEOUT)  # the loader itself would wait for ever
    try:
        with contextlib.redirect_stderr(io.StringIO()):  # the loader draws a bar, which no screen reader can follow
            Loader().download_model(into / name)
    except urllib.error.HTTPError as error:
        raise ServerError(f"the server answered {error.code} {error.reason}".rstrip()) from error
    except (urllib.error.URLError, ConnectionError, TimeoutError, http.client.HTTPException) as error:
        raise NoConnectionError(str(error)) from error
    except zipfile.BadZipFile as error:
        raise NoConnectionError("the download is cut short") from error
    finally:
        socket.setdefaulttimeout(before)
