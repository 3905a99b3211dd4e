"""A private sound server with a virtual microphone and loudspeaker, for tests and benchmarks of real sound devices.

It needs no sound card, no running desktop and no rights: one PulseAudio process in a folder of its own with two null
sinks. What programs play on the default output can be recorded from the sink "loudspeaker"; what is played into the
sink "room" arrives at the default input. Nothing of the user's own sound settings is read or changed.
"""

from __future__ import annotations

import contextlib
import ctypes.util
import math
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Literal, Self

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

# All that ALSA programs (PortAudio among them) see is this: one device, which leads to PulseAudio.
_ALSA = """
pcm.pulse { type pulse }
ctl.pulse { type pulse }
pcm.!default { type pulse }
ctl.!default { type pulse }
"""
_PLUGIN_FOLDERS = ("/usr/lib/*/alsa-lib", "/usr/lib*/alsa-lib")


def missing() -> str | None:
    """What is missing for a private sound server here, as a reason to skip a test; None where all is there."""
    for program in ("pulseaudio", "pactl", "pacat"):
        if shutil.which(program) is None:
            return f"{program} is not installed (package pulseaudio, pulseaudio-utils)"
    if not any(list(Path("/").glob(f"{f[1:]}/libasound_module_pcm_pulse.so")) for f in _PLUGIN_FOLDERS):
        return "ALSA's pulse plugin is not installed (package libasound2-plugins)"
    if ctypes.util.find_library("portaudio") is None:
        return "the library PortAudio is not installed (package libportaudio2)"
    return None


@contextlib.contextmanager
def no_devices() -> Iterator[None]:
    """Inside, there is no microphone and no loudspeaker, as on a machine without a sound card."""
    # There is no server at that address, and a device that cannot be opened is not listed.
    with tempfile.TemporaryDirectory(prefix="no-sound-") as name, _environment(Path(name)):
        yield


class SoundServer:
    """The server, as a context manager; inside it, programs see the virtual devices and no others.

    rate: sample rate of both sinks, in hertz.
    """

    def __init__(self, rate: int = 48000) -> None:
        self.rate = rate
        self._folder = Path(tempfile.mkdtemp(prefix="sound-server-"))
        self._process: subprocess.Popen[bytes] | None = None
        self._undo = contextlib.ExitStack()

    def __enter__(self) -> Self:
        """Starts the server and points this process, and those it starts, to it."""
        with contextlib.ExitStack() as undo:
            undo.callback(shutil.rmtree, self._folder, ignore_errors=True)
            undo.enter_context(_environment(self._folder))
            undo.callback(self.stop)
            self.start()
            self._undo = undo.pop_all()
        return self

    def __exit__(self, *_: object) -> None:
        """Ends the server and puts the environment back."""
        self._undo.close()

    def start(self) -> None:
        """Starts the server process, with both sinks, and waits until it answers."""
        # norewinds: a null sink works in blocks of 2 s until somebody listens, and the first sound waits for that; with
        # it, blocks are 50 ms or what the listener asks for.
        modules = (
            f"module-native-protocol-unix socket={self._folder}/socket auth-anonymous=1",
            f"module-cli-protocol-unix socket={self._folder}/cli",
            f"module-null-sink sink_name=loudspeaker rate={self.rate} channels=2 norewinds=1",
            f"module-null-sink sink_name=room rate={self.rate} channels=1 norewinds=1",
        )
        # It ends by itself when whoever started it is gone; a test run that is killed leaves nothing behind.
        command = [
            "pulseaudio",
            "-n",
            "--daemonize=no",
            "--exit-idle-time=30",
            "--use-pid-file=no",
            "--disable-shm=yes",
        ]
        command += ["--realtime=no", "--high-priority=no", "--log-level=error"]
        command += [argument for module in modules for argument in ("-L", module)]
        with (self._folder / "log").open("ab") as log:
            self._process = subprocess.Popen(command, stdout=log, stderr=log, start_new_session=True)
        for _ in range(100):
            with contextlib.suppress(subprocess.CalledProcessError):
                self.control("set-default-sink", "loudspeaker")
                self.control("set-default-source", "room.monitor")
                return
            time.sleep(0.05)
        raise RuntimeError("the sound server did not start: " + (self._folder / "log").read_text(encoding="utf-8"))

    def stop(self) -> None:
        """Ends the server process, as a crash of the sound system would. May be called twice."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def hang(self) -> None:
        """The server stands still: it neither answers nor ends."""
        self._signal(signal.SIGSTOP)

    def recover(self) -> None:
        """It goes on where it stood still."""
        self._signal(signal.SIGCONT)

    def _signal(self, number: signal.Signals) -> None:
        assert self._process is not None
        self._process.send_signal(number)

    def control(self, *arguments: str) -> str:
        """What pactl says to these arguments."""
        result = subprocess.run(["pactl", *arguments], check=True, capture_output=True, text=True, timeout=10)
        return result.stdout.strip()

    def pull_out(self, kind: Literal["sink-input", "source-output"]) -> None:
        """Ends every stream to the loudspeaker or from the microphone, as when the device is pulled out."""
        for line in self.control("list", "short", f"{kind}s").splitlines():
            with socket.socket(socket.AF_UNIX) as server:
                server.connect(f"{self._folder}/cli")
                server.sendall(f"kill-{kind} {line.split()[0]}\n".encode())
                time.sleep(0.1)

    def load(self, module: str, **settings: object) -> str:
        """Loads a module of the server; gives the number to unload it by."""
        return self.control("load-module", module, *(f"{key}={value}" for key, value in settings.items()))

    def unload(self, number: str) -> None:
        """Unloads a module."""
        self.control("unload-module", number)

    @contextlib.contextmanager
    def speaking(self, samples: Samples, rate: int, *, sink: str = "room") -> Iterator[None]:
        """Inside, the sound is played into the virtual microphone, in real time, once."""
        with tempfile.NamedTemporaryFile(dir=self._folder) as file:
            file.write(samples.astype("<f4").tobytes())
            file.flush()
            command = ["pacat", "--playback", "--raw", "--format=float32le", "--channels=1", f"--rate={rate}"]
            process = subprocess.Popen([*command, f"--device={sink}", "--latency-msec=20", file.name])
            try:
                yield
            finally:
                process.kill()
                process.wait()

    @contextlib.contextmanager
    def recording(self, source: str = "loudspeaker.monitor") -> Iterator[Recording]:
        """Inside, all that comes out of the virtual loudspeaker is recorded, at the server's rate."""
        command = ["pacat", "--record", "--raw", "--format=float32le", "--channels=1", f"--rate={self.rate}"]
        command += [f"--device={source}", "--latency-msec=10"]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            recording = Recording(process.stdout, self.rate)
            try:
                yield recording
            finally:
                process.kill()
                recording.finish()


class Recording:
    """A recording that is going on."""

    def __init__(self, pipe: IO[bytes], rate: int) -> None:
        self._pipe = pipe
        self._rate = rate
        self._data = bytearray()
        self._start = math.inf
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()

    def samples(self, since: int = 0) -> Samples:
        """All of it so far, or from that sample on: to look at all of a long one again and again takes too long."""
        data = self._data[4 * since :]
        return np.frombuffer(data, dtype="<f4", count=len(data) // 4).astype(np.float32)

    @property
    def start(self) -> float:
        """`time.monotonic()` of the first sample, late by the few milliseconds that sound waits in the server."""
        return self._start

    def finish(self) -> None:
        """Waits until the last of it is here."""
        self._thread.join()

    def _read(self) -> None:
        while data := os.read(self._pipe.fileno(), 1 << 16):
            self._data += data
            # Pieces may come late, never early: the earliest tells when the recording began.
            self._start = min(self._start, time.monotonic() - len(self._data) / 4 / self._rate)


@contextlib.contextmanager
def _environment(folder: Path) -> Iterator[None]:
    """Inside, programs look for the sound server in that folder and nowhere else."""
    alsa = folder / "asound.conf"
    alsa.write_text(_ALSA, encoding="utf-8")
    values = {
        "PULSE_SERVER": f"unix:{folder}/socket",
        "PULSE_RUNTIME_PATH": str(folder),
        "PULSE_STATE_PATH": str(folder),
        "PULSE_COOKIE": str(folder / "cookie"),
        "ALSA_CONFIG_PATH": str(alsa),
    }
    before = {name: os.environ.get(name) for name in values}
    os.environ.update(values)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextlib.contextmanager
def running_server(rate: int) -> Iterator[SoundServer]:
    """A server for a test, which is skipped where none can run."""
    import pytest  # here, since benchmarks use the server too

    reason = missing()
    if reason:
        pytest.skip(f"the live tests need a private sound server: {reason}")
    with SoundServer(rate) as server:
        yield server


def wait_for_silence(recording: Recording, *, rate: int, limit: float = 40.0) -> None:
    """Waits until nothing has come out of the loudspeaker for a second."""
    end = time.monotonic() + limit
    while time.monotonic() < end:
        time.sleep(0.2)
        last = recording.samples()[-rate:]
        if len(last) >= rate and abs(last).max() < 0.001:
            return
    raise AssertionError("the companion did not stop speaking")


@contextlib.contextmanager
def ended_after(process: subprocess.Popen[str], seconds: float) -> Iterator[None]:
    """Ends a session that hears nothing, or whose test fails, so that waiting for it comes to an end."""
    timer = threading.Timer(seconds, process.kill)
    timer.start()
    try:
        yield
    except BaseException:
        process.kill()
        raise
    finally:
        timer.cancel()
