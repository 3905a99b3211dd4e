"""Reading recorded sound: wav files of any rate, number of channels and width, as mono at 16 kHz."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import numpy.typing as npt

from companion.ear.recogniser import RATE, Samples
from companion.errors import MakerError

_WHOLE, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE  # format tags of the RIFF WAVE standard


class RecordingError(MakerError):
    """A recording cannot be read. Its text is one sentence for the maker."""


def read_recording(path: Path) -> Samples:
    """The sound of a wav file: float32, mono, 16,000 samples a second, -1 to 1.

    Takes whole numbers of 8, 16, 24 and 32 bits and floating point of 32 and 64, any rate from 1,000 to 400,000 and any
    number of channels, which are averaged. Raises RecordingError for what is not such a file.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise RecordingError(f"{path} cannot be read: {(error.strerror or str(error)).lower()}.") from error
    if data[:4] != b"RIFF" or data[8:12] != b"WAVE":
        raise RecordingError(f"{path} is not a wav file; record or convert it as wav and try again.")
    form, body = _chunks(data)
    if form is None or body is None or len(form) < 16:
        raise RecordingError(f"{path} is damaged: it has no sound in it that can be read.")
    tag, channels, rate, _, block, bits = struct.unpack("<HHIIHH", form[:16])
    if tag == _EXTENSIBLE and len(form) >= 26:
        tag = struct.unpack("<H", form[24:26])[0]
    width = bits // 8
    readable = (tag == _WHOLE and width in (1, 2, 3, 4)) or (tag == _FLOAT and width in (4, 8))
    if not readable or not 1 <= channels <= 64 or not 1_000 <= rate <= 400_000 or block != channels * width:
        raise RecordingError(f"{path} is a wav file of a kind that cannot be read; convert it to 16-bit PCM.")
    whole = len(body) // block * block
    mono = _numbers(body[:whole], tag, width).reshape(-1, channels).mean(axis=1)
    return to_ear_rate(np.nan_to_num(mono).astype(np.float32), rate)


def to_ear_rate(sound: Samples, rate: int) -> Samples:
    """Mono sound resampled from `rate` to the 16,000 samples a second that the ear works with."""
    if rate == RATE or not len(sound):
        return sound
    import soxr

    resampled: Samples = soxr.resample(sound, rate, RATE).astype(np.float32)
    return resampled


def _chunks(data: bytes) -> tuple[bytes | None, bytes | None]:
    """The format and the sound of a wav file; the sound of a file cut short is what there is of it."""
    form = body = None
    at = 12
    while at + 8 <= len(data):
        name, length = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])[0]
        content = data[at + 8 : at + 8 + length]
        if name == b"fmt ":
            form = content
        elif name == b"data":
            body = content
        at += 8 + length + length % 2
    return form, body


def _numbers(body: bytes, tag: int, width: int) -> npt.NDArray[np.float64]:
    if tag == _FLOAT:
        return np.frombuffer(body, "<f4" if width == 4 else "<f8").astype(np.float64)
    if width == 1:  # 8-bit sound alone is without sign
        return (np.frombuffer(body, np.uint8).astype(np.float64) - 128) / 128
    if width == 3:
        triples = np.frombuffer(body, np.uint8).reshape(-1, 3)
        filled = np.zeros((len(triples), 4), np.uint8)
        filled[:, 1:] = triples
        return filled.view("<i4")[:, 0].astype(np.float64) / 2**31
    return np.frombuffer(body, f"<i{width}").astype(np.float64) / float(2 ** (8 * width - 1))
