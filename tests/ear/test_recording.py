"""Recordings of every width, rate and number of channels come out as the same mono sound at 16 kHz."""

import struct
from pathlib import Path

import numpy as np
import pytest

from companion.ear.recording import RecordingError, read_recording


def wav(tag: int, channels: int, rate: int, bits: int, body: bytes, extensible: bool = False) -> bytes:
    block = channels * bits // 8
    form = struct.pack("<HHIIHH", 0xFFFE if extensible else tag, channels, rate, rate * block, block, bits)
    if extensible:
        form += struct.pack("<HHIH", 22, bits, 0, tag) + bytes(14)
    chunks = b"fmt " + struct.pack("<I", len(form)) + form + b"LIST" + struct.pack("<I", 3) + b"odd\0"
    chunks += b"data" + struct.pack("<I", len(body)) + body
    return b"RIFF" + struct.pack("<I", 4 + len(chunks)) + b"WAVE" + chunks


def tone(rate: int) -> np.ndarray:
    return 0.5 * np.sin(2 * np.pi * 440 * np.arange(rate) / rate)


def encoded(sound: np.ndarray, kind: str) -> tuple[int, int, bytes]:
    if kind == "u8":
        return 1, 8, np.round(sound * 127 + 128).astype(np.uint8).tobytes()
    if kind == "s16":
        return 1, 16, np.round(sound * 32767).astype("<i2").tobytes()
    if kind == "s24":
        whole = np.round(sound * (2**23 - 1)).astype("<i4")
        return 1, 24, whole.view(np.uint8).reshape(-1, 4)[:, :3].tobytes()
    if kind == "s32":
        return 1, 32, np.round(sound * (2**31 - 1)).astype("<i4").tobytes()
    return 3, 32 if kind == "f32" else 64, sound.astype("<f4" if kind == "f32" else "<f8").tobytes()


@pytest.mark.parametrize("kind", ["u8", "s16", "s24", "s32", "f32", "f64"])
@pytest.mark.parametrize("rate", [8_000, 16_000, 22_050, 44_100, 48_000])
@pytest.mark.parametrize("channels", [1, 2])
def test_the_same_tone_comes_out_of_every_kind_of_file(tmp_path: Path, kind: str, rate: int, channels: int) -> None:
    sound = np.repeat(tone(rate), channels)
    tag, bits, body = encoded(sound, kind)
    path = tmp_path / "tone.wav"
    path.write_bytes(wav(tag, channels, rate, bits, body, extensible=channels == 2))
    heard = read_recording(path)
    assert heard.dtype == np.float32
    assert abs(len(heard) - 16_000) <= 2
    middle = heard[2_000:14_000]
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(0.5 / np.sqrt(2), rel=0.02)
    spectrum = np.abs(np.fft.rfft(middle))
    assert np.argmax(spectrum) * 16_000 / len(middle) == pytest.approx(440, abs=2)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "is not a wav file"),
        (b"these are words, not sound", "is not a wav file"),
        (b"RIFF\0\0\0\0WAVE", "is damaged"),
        (wav(2, 1, 16_000, 4, b"\0" * 64), "of a kind that cannot be read"),
    ],
)
def test_what_is_no_sound_is_refused_in_one_sentence(tmp_path: Path, data: bytes, message: str) -> None:
    path = tmp_path / "odd.wav"
    path.write_bytes(data)
    with pytest.raises(RecordingError, match=message) as refused:
        read_recording(path)
    assert str(refused.value).endswith(".")
    assert "\n" not in str(refused.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match=r"gone\.wav cannot be read: no such file"):
        read_recording(tmp_path / "gone.wav")


def test_a_file_cut_short_still_gives_the_sound_it_holds(tmp_path: Path) -> None:
    tag, bits, body = encoded(tone(16_000), "s16")
    path = tmp_path / "cut.wav"
    path.write_bytes(wav(tag, 1, 16_000, bits, body)[:-10_001])
    assert 10_900 < len(read_recording(path)) < 11_100
