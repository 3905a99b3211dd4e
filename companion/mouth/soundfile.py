"""Sound files: WAV and AIFF read by what their header says, WAV written.

The two formats are alike: a form of chunks, each with a four-letter name and a length, little-endian in WAV and
big-endian in AIFF. Synthesisers write one or the other whatever the file is called.
Source for the layouts: "Multimedia Programming Interface and Data Specifications 1.0" (RIFF, WAVE), RFC 2361, and
"Audio Interchange File Format AIFF-C, draft 08/26/91".
"""

from __future__ import annotations

import math
import struct
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from companion.errors import MakerError
from companion.mouth.sound import Samples, Sound

_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE


class SoundFileError(MakerError):
    """A file that is not sound, or not of a kind that can be read; the message is one sentence for the maker."""


def read_sound(path: Path) -> Sound:
    """The sound in a WAV or AIFF file, several channels averaged to one.

    Integer samples of 8 to 32 bits and float samples are read. Raises SoundFileError.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise SoundFileError(f"The sound file {path} cannot be read: {error.strerror}.") from error
    try:
        if data[:4] == b"RIFF" and data[8:12] == b"WAVE":
            return _wav(data, path)
        if data[:4] == b"FORM" and data[8:12] in (b"AIFF", b"AIFC"):
            return _aiff(data, path)
    except (struct.error, ValueError, KeyError, ZeroDivisionError) as error:
        raise SoundFileError(f"The sound file {path} is damaged; record or write it again.") from error
    raise SoundFileError(f"The file {path} is neither WAV nor AIFF sound; save it as WAV and try again.")


def write_wav(path: Path, sound: Sound) -> None:
    """Writes 16-bit mono WAV. Samples beyond full scale are held at full scale."""
    whole = np.clip(np.rint(sound.samples * 32767.0), -32768, 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(sound.rate)
        file.writeframes(whole.tobytes())


def _wav(data: bytes, path: Path) -> Sound:
    chunks = dict(_chunks(data, "<"))
    kind, channels, rate, _, _, bits = struct.unpack_from("<HHIIHH", chunks[b"fmt "])
    if kind == _EXTENSIBLE:
        kind = struct.unpack_from("<H", chunks[b"fmt "], 24)[0]
    if kind not in (_PCM, _FLOAT):
        raise SoundFileError(f"The sound file {path} is compressed; save it as plain (PCM) WAV and try again.")
    samples = _unpacked(chunks[b"data"], bits, "<", is_float=kind == _FLOAT, unsigned_bytes=True)
    return _mono(samples, channels, rate)


def _aiff(data: bytes, path: Path) -> Sound:
    chunks = dict(_chunks(data, ">"))
    channels, _, bits = struct.unpack_from(">hIh", chunks[b"COMM"])
    rate = _extended(chunks[b"COMM"][8:18])
    coding = chunks[b"COMM"][18:22] if data[8:12] == b"AIFC" else b"NONE"
    if coding not in (b"NONE", b"twos", b"sowt", b"fl32", b"FL32", b"fl64", b"FL64"):
        raise SoundFileError(f"The sound file {path} is compressed; save it as plain (PCM) WAV and try again.")
    offset = struct.unpack_from(">I", chunks[b"SSND"])[0]
    samples = _unpacked(
        chunks[b"SSND"][8 + offset :],
        bits,
        "<" if coding == b"sowt" else ">",
        is_float=coding.lower() in (b"fl32", b"fl64"),
        unsigned_bytes=False,
    )
    return _mono(samples, channels, round(rate))


def _chunks(data: bytes, order: str) -> Iterator[tuple[bytes, bytes]]:
    """Every chunk of a form: its name and what it holds. A last chunk that is cut short is given as far as it goes."""
    at = 12
    while at + 8 <= len(data):
        name, length = struct.unpack_from(f"{order}4sI", data, at)
        yield name, data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2


def _unpacked(raw: bytes, bits: int, order: str, *, is_float: bool, unsigned_bytes: bool) -> Samples:
    """Samples from -1 to 1. Bits are those of one sample of one channel, filled up to whole bytes from below."""
    width = (bits + 7) // 8
    raw = raw[: len(raw) - len(raw) % width]
    if is_float:
        return np.frombuffer(raw, dtype=f"{order}f{width}").astype(np.float32)
    if width == 1 and unsigned_bytes:
        return ((np.frombuffer(raw, dtype=np.uint8).astype(np.float32)) - 128.0) / 128.0
    if width == 3:
        # numpy has no 24-bit number: put each sample in the upper three bytes of a 32-bit one.
        wide = np.zeros((len(raw) // 3, 4), dtype=np.uint8)
        wide[:, slice(1, 4) if order == "<" else slice(0, 3)] = np.frombuffer(raw, dtype=np.uint8).reshape(-1, 3)
        raw, width = wide.tobytes(), 4
    whole = np.frombuffer(raw, dtype=f"{order}i{width}").astype(np.float64)
    return np.asarray(whole / float(1 << (8 * width - 1)), dtype=np.float32)


def _mono(samples: Samples, channels: int, rate: int) -> Sound:
    whole = samples[: len(samples) - len(samples) % channels].reshape(-1, channels)
    return Sound(np.asarray(whole.mean(axis=1), dtype=np.float32), rate)


def _extended(raw: bytes) -> float:
    """An 80-bit IEEE 754 extended number, as AIFF writes its sample rate."""
    exponent, fraction = struct.unpack(">HQ", raw)
    return math.ldexp(fraction, (exponent & 0x7FFF) - 16383 - 63)
