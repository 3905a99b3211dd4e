"""The process that holds one sound device: `python -m companion.device_child ORDER`, the order as one JSON object.

The sound library wants a process of its own, one a device. When the sound server under it dies, PortAudio (19.6 on
Linux) can fall into a loop without end that nothing in the same process can stop, and closing the stream then waits for
ever. A process can be ended and begun anew, and a new one sees the devices that are there now.

    {"list": "input"}                                     the names of all microphones, as one JSON list; then it ends
    {"open": "output", "device": null, "rate": null, "block": 0.01, "latency": 0.04}

An opened device is answered by one line, {"opened": {"name", "rate", "latency", "channels"}}, and what cannot be opened
by {"error": "missing" (the library), "none" (no device) or "unusable", "name": of the device}. After that line,

- a microphone writes `HEARD` and that many samples for every block it hears;
- a loudspeaker reads `GIVEN` and that many bytes of sound to be heard next, none where it is to fall silent at once;
  it waits for no sound, but plays silence, and writes `PLAYED` and the samples of every block handed to the device.

Samples are 32-bit floats, those of the channels interleaved. Times are the sound library's, in seconds; its clock is
the machine's and the same in every process. It ends when standard input does, also while a device is being opened.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import struct
import sys
import threading
from typing import Any

from companion.reserve import Reserve

HEARD = struct.Struct("<dd?I")
"""Time of the block's first sample, the time now, whether sound was lost before it, its number of samples."""
GIVEN = struct.Struct("<I?")
"""Number of bytes, whether there is a voice in them."""
PLAYED = struct.Struct("<dII?I")
"""Time at which the block will be heard; its number of frames, each a sample for every channel; how many of them were
given; whether there is a voice in them; how often it was told to fall silent before."""

_FADE = 0.005  # seconds in which sound that is cut off goes to silence


def main() -> int:
    """Does what the one argument orders."""
    order = json.loads(sys.argv[1])
    answers = _own_standard_output()
    return _list(order["list"], answers) if "list" in order else _held(order, answers)


def _list(kind: str, answers: int) -> int:
    library = _library(answers)
    if library is None:
        return 1
    devices = library.query_devices()
    _tell(answers, [device["name"] for device in devices if device[f"max_{kind}_channels"] > 0])
    return 0


class _Given:
    """What comes on standard input, from the first moment on. Where that ends, this process ends, whatever it does."""

    def __init__(self) -> None:
        self._pieces: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._rest = b""
        self._reader = threading.Thread(target=self._read, name="standard input", daemon=True)
        self._reader.start()

    def take(self, size: int) -> bytes:
        """The next so many bytes; waits for them."""
        while len(self._rest) < size:
            self._rest += self._pieces.get()
        data, self._rest = self._rest[:size], self._rest[size:]
        return data

    def _read(self) -> None:
        while more := os.read(0, 1 << 16):
            self._pieces.put(more)
        os._exit(0)  # an ordinary end would close the stream, and that may never come back


def _held(order: dict[str, Any], answers: int) -> int:
    given = _Given()
    library = _library(answers)
    if library is None:
        return 1
    kind = order["open"]
    try:
        found = library.query_devices(order["device"], kind)
    except (library.PortAudioError, ValueError):
        _tell(answers, {"error": "none", "name": ""})
        return 1
    rate = order["rate"] or round(found["default_samplerate"])
    # Loudspeakers opened without a sound server often refuse one channel; a mono voice comes out of both sides.
    channels = 1 if kind == "input" else min(2, found["max_output_channels"])
    told = threading.Event()
    reserve = Reserve(channels, round(_FADE * rate))
    open_stream, callback = (
        (library.RawInputStream, _microphone(answers, told))
        if kind == "input"
        else (library.RawOutputStream, _loudspeaker(answers, told, reserve))
    )
    try:
        stream = open_stream(
            samplerate=rate,
            blocksize=round(rate * order["block"]),
            device=found["index"],
            channels=channels,
            dtype="float32",
            latency=order["latency"],
            callback=callback,
        )
        stream.start()
    except library.PortAudioError:
        _tell(answers, {"error": "unusable", "name": found["name"]})
        return 1
    _tell(answers, {"opened": {"name": found["name"], "rate": rate, "latency": stream.latency, "channels": channels}})
    told.set()
    while True:
        size, spoken = GIVEN.unpack(given.take(GIVEN.size))
        if size:
            reserve.give(given.take(size), spoken=spoken)
        else:
            reserve.cut()


def _microphone(answers: int, told: threading.Event) -> Any:
    def hand_over(data: Any, frames: int, times: Any, status: Any) -> None:
        told.wait()
        lost = bool(status.input_overflow)
        _write(answers, HEARD.pack(times.inputBufferAdcTime, times.currentTime, lost, frames) + bytes(data))

    return hand_over


def _loudspeaker(answers: int, told: threading.Event, reserve: Reserve) -> Any:
    def hand_on(out: Any, frames: int, times: Any, status: Any) -> None:
        told.wait()
        block = reserve.take(frames)
        out[:] = block.data
        _write(
            answers, PLAYED.pack(times.outputBufferDacTime, frames, block.frames, block.spoken, block.cuts) + block.data
        )

    return hand_on


def _library(answers: int) -> Any:
    """The sound library; None where it is missing, which is told."""
    try:
        import sounddevice
    except (OSError, ImportError):
        _tell(answers, {"error": "missing", "name": ""})
        return None
    return sounddevice


def _own_standard_output() -> int:
    """Takes standard output for the answers alone; what libraries print there goes to standard error instead."""
    answers = os.dup(1)
    os.dup2(2, 1)
    if sys.platform == "win32":
        import msvcrt

        msvcrt.setmode(answers, os.O_BINARY)
        msvcrt.setmode(0, os.O_BINARY)
    return answers


def _tell(answers: int, answer: object) -> None:
    _write(answers, json.dumps(answer).encode() + b"\n")


def _write(answers: int, data: bytes) -> None:
    # Where nobody reads any more, standard input ends as well, and this process with it.
    with contextlib.suppress(OSError):
        while data:
            data = data[os.write(answers, data) :]


if __name__ == "__main__":
    sys.exit(main())
