from __future__ import annotations

import struct
import subprocess
from pathlib import Path
from shutil import which

import numpy as np
import pytest

from companion.mouth.sound import Sound
from companion.mouth.soundfile import SoundFileError, read_sound, write_wav

needs_sox = pytest.mark.skipif(which("sox") is None, reason="sox, which writes the files to compare with, is missing")


@pytest.fixture
def sound() -> Sound:
    time = np.arange(2205) / 22050
    return Sound((0.5 * np.sin(2 * np.pi * 440 * time)).astype(np.float32), 22050)


def test_what_was_written_is_read_back(tmp_path: Path, sound: Sound) -> None:
    write_wav(tmp_path / "a.wav", sound)
    back = read_sound(tmp_path / "a.wav")
    assert back.rate == 22050
    np.testing.assert_allclose(back.samples, sound.samples, atol=1 / 16000)


def test_too_loud_is_held_at_full_scale_and_does_not_fold_over(tmp_path: Path) -> None:
    write_wav(tmp_path / "a.wav", Sound(np.array([2.0, -2.0], dtype=np.float32), 8000))
    first, second = read_sound(tmp_path / "a.wav").samples
    assert first > 0.99
    assert second < -0.99


@needs_sox
@pytest.mark.parametrize("bits", [8, 16, 24, 32])
@pytest.mark.parametrize("kind", ["wav", "aiff", "aifc"])
def test_files_of_another_program_are_read(tmp_path: Path, sound: Sound, kind: str, bits: int) -> None:
    """Checked against SoX, a general sound converter, for both formats, all sample widths and two channels."""
    write_wav(tmp_path / "a.wav", sound)
    other = tmp_path / f"b.{kind}"
    subprocess.run(
        ["sox", tmp_path / "a.wav", "-D", "-b", str(bits), "-c", "2", other], check=True, capture_output=True
    )
    back = read_sound(other)
    assert back.rate == 22050
    np.testing.assert_allclose(back.samples, sound.samples, atol=1 / 120 if bits == 8 else 1 / 15000)


@needs_sox
def test_float_samples_are_read(tmp_path: Path, sound: Sound) -> None:
    write_wav(tmp_path / "a.wav", sound)
    subprocess.run(["sox", tmp_path / "a.wav", "-e", "float", "-b", "32", tmp_path / "b.wav"], check=True)
    np.testing.assert_allclose(read_sound(tmp_path / "b.wav").samples, sound.samples, atol=1 / 15000)


def test_the_header_decides_and_not_the_name(tmp_path: Path) -> None:
    # One big-endian AIFF frame of half scale at 22,050 Hz, laid out by hand, in a file called .wav.
    rate = struct.pack(">HQ", 16383 + 14, 22050 << (63 - 14))
    comm = struct.pack(">4sIhIh", b"COMM", 18, 1, 1, 16) + rate
    ssnd = struct.pack(">4sIIIh", b"SSND", 10, 0, 0, 16384)
    path = tmp_path / "speech.wav"
    path.write_bytes(struct.pack(">4sI4s", b"FORM", 4 + len(comm) + len(ssnd), b"AIFF") + comm + ssnd)
    sound = read_sound(path)
    assert sound.rate == 22050
    assert sound.samples.tolist() == [0.5]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "neither WAV nor AIFF"),
        (b"OggS" + bytes(60), "neither WAV nor AIFF"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "damaged"),
        (b"RIFF\x24\0\0\0WAVE" + b"fmt \x10\0\0\0" + struct.pack("<HHIIHH", 85, 1, 8000, 8000, 1, 16), "compressed"),
    ],
)
def test_what_is_not_sound_is_told_in_one_sentence(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(data)
    with pytest.raises(SoundFileError, match=said):
        read_sound(path)


def test_a_missing_file_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(SoundFileError, match="cannot be read"):
        read_sound(tmp_path / "none.wav")
