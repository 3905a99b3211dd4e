"""Sound devices, each held by a process of its own (`companion.device_child`), and one clear sentence where none is.

`mouth.player` and `ear.microphone` open their devices through here. A device whose process hangs or dies is closed like
any other, at once, and can be opened anew while the other one goes on.
"""

from __future__ import annotations

import contextlib
import json
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from companion.device_child import GIVEN, HEARD, PLAYED
from companion.errors import MakerError
from companion.reserve import SAMPLE

Kind = Literal["input", "output"]
Samples = npt.NDArray[np.float32]

CHILD = (sys.executable, "-m", "companion.device_child")
OWN_GROUP: dict[str, Any] = (
    {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)}
    if sys.platform == "win32"
    else {"start_new_session": True}
)
"""For a process of the session's: Ctrl-C does not reach it, and the session ends it in its own order."""
BLOCK = 0.01  # seconds of sound a device hands over, or is given, at a time
_OPENS_WITHIN = 10.0  # seconds; the first start of an interpreter on a cold disk, and a slow sound server
_DEAD_AFTER = 1.5  # seconds without a block


class DeviceError(MakerError):
    """Sound cannot be used on this machine; the message says why and what to do."""


class NoMicrophoneError(DeviceError):
    """There is no microphone, or it cannot be opened; the message says what to do."""


class NoLoudspeakerError(DeviceError):
    """There is no loudspeaker, or it cannot be opened; the message says what to do."""


class _Device:
    """What is open and gives or takes blocks of a hundredth of a second until closed.

    name: as the sound system calls it. rate: in hertz. latency: seconds between the device and its blocks, as the sound
    system gives it.
    """

    def __init__(self, kind: Kind, wanted: int | str | None, rate: int | None, latency: float) -> None:
        self._last = time.monotonic()
        self._first: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._told = threading.Event()  # what was opened, or that nothing was
        self._channels = 1
        self._process = _child({"open": kind, "device": wanted, "rate": rate, "block": BLOCK, "latency": latency})
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._to, self._from = self._process.stdin, self._process.stdout
        threading.Thread(target=self._serve, name=f"sound {kind}", daemon=True).start()
        opened = self._opened(kind)
        self.name: str = opened["name"]
        self.rate: int = opened["rate"]
        self.latency: float = opened["latency"]
        self._channels = opened["channels"]
        self._told.set()

    @property
    def alive(self) -> bool:
        """Whether blocks still go back and forth: false when it was unplugged or the sound server is gone."""
        return self._process.poll() is None and time.monotonic() - self._last < _DEAD_AFTER

    def close(self) -> None:
        """Gives the device back at once. May be called twice."""
        self._process.kill()
        self._process.wait()
        self._told.set()

    def _opened(self, kind: Kind) -> dict[str, Any]:
        try:
            answer: dict[str, Any] = _answer(self._first.get(timeout=_OPENS_WITHIN), kind)["opened"]
        except queue.Empty as error:
            self.close()
            raise _unusable(kind) from error
        except DeviceError:
            self.close()
            raise
        return answer

    def _serve(self) -> None:
        self._first.put(self._from.readline())
        self._told.wait()
        with contextlib.suppress(EOFError, OSError):
            while True:
                self._exchange()
        for pipe in (self._from, self._to):
            # What was still in the buffer has no reader any more.
            with contextlib.suppress(OSError):
                pipe.close()

    def _exchange(self) -> None:
        """Gives or takes one block. Raises EOFError or OSError when the process has ended."""
        raise NotImplementedError

    def _next(self, count: int) -> bytes:
        data = self._from.read(count)
        if len(data) < count:
            raise EOFError
        self._last = time.monotonic()
        return data


class InputDevice(_Device):
    """A microphone that is open.

    wanted: its number or (part of its) name, None for the system's default. rate: in hertz, None for the device's own.
    latency: seconds asked of the sound system. heard: told every block, in a thread of the device's own: its samples,
    the time of the first one, the time now (both in seconds, of the sound library's clock), and whether sound was lost
    before it. Raises NoMicrophoneError, or DeviceError where the sound library is missing.
    """

    def __init__(
        self,
        wanted: int | str | None,
        rate: int | None,
        latency: float,
        heard: Callable[[Samples, float, float, bool], None],
    ) -> None:
        self._heard = heard
        super().__init__("input", wanted, rate, latency)

    def _exchange(self) -> None:
        first, now, lost, count = HEARD.unpack(self._next(HEARD.size))
        self._heard(np.frombuffer(self._next(count * SAMPLE), dtype=np.float32).copy(), first, now, lost)


class OutputDevice(_Device):
    """A loudspeaker that is open. It plays what it is given, silence where that is nothing.

    wanted: its number or (part of its) name, None for the system's default. rate: in hertz, None for the device's own.
    latency: seconds asked of the sound system. played: told every block, in a thread of the device's own: its samples,
    the time at which the first one is heard (in seconds, of the sound library's clock), whether there is a voice in
    it, how many of its samples were given, and how often it had been cut off before.
    Raises NoLoudspeakerError, or DeviceError where the sound library is missing.
    """

    def __init__(
        self,
        wanted: int | str | None,
        rate: int | None,
        latency: float,
        played: Callable[[Samples, float, bool, int, int], None],
    ) -> None:
        self._played = played
        super().__init__("output", wanted, rate, latency)

    def give(self, samples: Samples, *, spoken: bool) -> None:
        """To be heard after what was given before. spoken: whether there is a voice in it."""
        # A voice of one channel comes out of both sides.
        data = np.repeat(samples, self._channels).astype(np.float32).tobytes()
        self._tell(GIVEN.pack(len(data), spoken) + data)

    def cut(self) -> None:
        """Silence at once; what was given and not heard is dropped."""
        self._tell(GIVEN.pack(0, False))

    def _tell(self, data: bytes) -> None:
        # The process may have ended; whether it has is for `alive` to say.
        with contextlib.suppress(OSError, ValueError):
            self._to.write(data)
            self._to.flush()

    def _exchange(self) -> None:
        heard_at, count, given, spoken, cuts = PLAYED.unpack(self._next(PLAYED.size))
        sounds = np.frombuffer(self._next(count * self._channels * SAMPLE), dtype=np.float32)
        self._played(sounds[:: self._channels].copy(), heard_at, spoken, given, cuts)


def names(kind: Kind) -> tuple[str, ...]:
    """The names of all devices of that kind, for a maker to choose from. Raises DeviceError without sound library."""
    with _child({"list": kind}) as process:
        try:
            return tuple(_answer(process.communicate(timeout=_OPENS_WITHIN)[0], kind))
        except subprocess.TimeoutExpired as error:
            process.kill()
            raise _unusable(kind) from error


def _child(order: dict[str, Any]) -> subprocess.Popen[bytes]:
    try:
        return subprocess.Popen(
            (*CHILD, json.dumps(order)),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            # What sound libraries print about themselves belongs neither into a picture nor to a screen reader.
            stderr=subprocess.DEVNULL,
            **OWN_GROUP,
        )
    except OSError as error:
        raise DeviceError(f"Sound could not be started ({error.strerror}); install the companion again.") from error


def _answer(line: bytes, kind: Kind) -> Any:
    """What the first line of a process tells. Raises DeviceError where that is an error, or nothing."""
    try:
        answer = json.loads(line)
    except ValueError as error:
        raise _unusable(kind) from error
    if "error" not in answer:
        return answer
    if answer["error"] == "missing":
        raise DeviceError(f"Sound cannot be used, because the library PortAudio is missing. {_INSTALL}")
    if answer["error"] == "none":
        what, not_there = _KINDS[kind]
        raise not_there(f"No {what} was found; connect one, or {_HELP}")
    raise _unusable(kind, answer["name"])


def _unusable(kind: Kind, name: str = "of this machine") -> DeviceError:
    what, not_there = _KINDS[kind]
    return not_there(f"The {what} {name} cannot be used; {_HELP}")


_KINDS: dict[Kind, tuple[str, type[DeviceError]]] = {
    "input": ("microphone", NoMicrophoneError),
    "output": ("loudspeaker", NoLoudspeakerError),
}
_INSTALL = (
    "Run `sudo apt-get install libportaudio2` and start again."
    if sys.platform == "linux"
    else "Run `pip install --force-reinstall sounddevice` and start again."
)
_HELP = "choose another one in the system's sound settings and start again, or add `--typed` to go on in writing."
