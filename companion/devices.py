"""The sound library, asked for in one place: what is there, and one clear sentence where nothing is.

`mouth.player` and `ear.microphone` open their devices through here. The library (sounddevice, over PortAudio) is
imported only when sound is used.
"""

from __future__ import annotations

import atexit
import sys
import threading
from dataclasses import dataclass
from typing import Any, Literal

from companion.errors import MakerError

Kind = Literal["input", "output"]

_CLOSES_WITHIN = 2.0  # seconds
_left_behind: list[threading.Thread] = []


class DeviceError(MakerError):
    """Sound cannot be used on this machine; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Device:
    """A microphone or loudspeaker as the sound library sees it.

    index: its number in the library's present list. channels: how many it has in the direction asked for.
    rate: its own sample rate, in hertz.
    """

    index: int
    name: str
    channels: int
    rate: int


def sound_library() -> Any:
    """The module sounddevice. Raises DeviceError where PortAudio is missing."""
    try:
        import sounddevice
    except (OSError, ImportError) as error:
        if sys.platform == "linux":
            step = "Run `sudo apt-get install libportaudio2` and start again."
        else:
            step = "Run `pip install --force-reinstall sounddevice` and start again."
        raise DeviceError(f"Sound cannot be used, because the library PortAudio is missing. {step}") from error
    return sounddevice


def find(kind: Kind, wanted: int | str | None = None) -> Device | None:
    """The device of that number or (part of the) name, the system's default for None; None where there is none."""
    library = sound_library()
    try:
        found = library.query_devices(wanted, kind)
    except (library.PortAudioError, ValueError):
        return None
    return Device(found["index"], found["name"], found[f"max_{kind}_channels"], round(found["default_samplerate"]))


def names(kind: Kind) -> tuple[str, ...]:
    """The names of all devices of that kind, for a maker to choose from."""
    return tuple(d["name"] for d in sound_library().query_devices() if d[f"max_{kind}_channels"] > 0)


def close(stream: Any) -> None:
    """Closes a stream, or leaves it behind where the sound system does not let go of it within two seconds.

    A stream whose sound server died can hold whoever closes it for ever, and the maker would be left in silence.
    """
    closing = threading.Thread(target=stream.close, name="closing a stream", daemon=True)
    closing.start()
    closing.join(_CLOSES_WITHIN)
    if closing.is_alive():
        _left_behind.append(closing)
        # At its end the library would wait for that stream as well, and the program would never stop.
        atexit.unregister(sound_library()._exit_handler)


def look_again() -> None:
    """Lists the devices anew; the library lists them once, when it starts. Every stream must be closed before.

    With a stream left behind the library cannot be started anew; then the list stays as it was, and the default
    device is found by its name.
    """
    if any(closing.is_alive() for closing in _left_behind):
        return
    library = sound_library()
    library._terminate()
    library._initialize()
