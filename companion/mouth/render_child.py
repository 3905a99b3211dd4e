"""The process that holds the speech synthesiser: `python -m companion.mouth.render_child`.

pyttsx3 wants a process of its own: it cannot be used from two threads, prints to standard output, and a synthesiser
that hangs can only be ended with its process. One JSON object a line comes in on standard input and one goes out:

    {"text": "Round five.", "file": "/tmp/x.wav", "rate": 170, "voice": "en-us"}   ->  {"done": true}
    {"voices": true}                                                               ->  {"voices": [{"id": ...}]}
    (what failed)                                                                  ->  {"error": "..."}

The first line out, before any request, is {"ready": true} or {"error": ..., "kind": "missing"}.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
import time
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any


def main() -> int:
    """Serves requests until standard input ends. Exit 1 where there is no synthesiser."""
    answers = _own_standard_output()
    try:
        engine = _engine()
        _never_cancel(engine)
        _settle(engine)
    except Exception as error:  # whatever the platform's driver raises, the parent is told in one line
        _tell(answers, {"error": str(error), "kind": "missing"})
        return 1
    _tell(answers, {"ready": True})
    for line in sys.stdin:
        try:
            _tell(answers, _served(engine, json.loads(line)))
        except Exception as error:
            _tell(answers, {"error": f"{type(error).__name__}: {error}"})
    return 0


def _own_standard_output() -> IO[str]:
    """Takes standard output for the answers alone; what libraries print there goes to standard error instead."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    return answers


def _tell(answers: IO[str], answer: dict[str, Any]) -> None:
    answers.write(json.dumps(answer) + "\n")
    answers.flush()


def _engine() -> Any:
    import pyttsx3

    try:
        return pyttsx3.init()
    except Exception:
        # pyttsx3 loads libespeak-ng by name. Where the system has none, the wheel espeakng-loader may: once its copy is
        # loaded under that name, the driver finds it. Only the child's own process is touched.
        if not _load_bundled_espeak():
            raise
        return pyttsx3.init("espeak")


def _never_cancel(engine: Any) -> None:
    """Keeps pyttsx3 from cancelling what libespeak-ng is rendering.

    Its loop, when it ends, cancels speech that seems to be playing and remembers to cancel once more when the next loop
    begins, by then the next sentence: the file is empty, or could lack its end. Nothing is ever to be cancelled here.
    """
    if engine.driver_name == "espeak":
        engine.proxy._driver.stop = lambda: None


def _load_bundled_espeak() -> bool:
    if find_spec("espeakng_loader") is None:
        return False
    espeakng_loader = import_module("espeakng_loader")
    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    plain = Path(espeakng_loader.get_library_path())
    for path in (plain.with_name(plain.name + ".1"), plain):
        if path.exists():
            ctypes.CDLL(str(path), mode=ctypes.RTLD_GLOBAL)
            return True
    return False


def _served(engine: Any, request: dict[str, Any]) -> dict[str, Any]:
    if "voices" in request:
        voices = _voices(engine)
        return {"voices": [{"id": v.id, "name": v.name, "languages": list(v.languages or [])} for v in voices]}
    failures: list[str] = []
    # A property that cannot be set, or a save that fails, is only told to listeners; runAndWait returns normally.
    listener = engine.connect("error", lambda name, exception: failures.append(str(exception)))
    try:
        if request.get("voice"):
            engine.setProperty("voice", _voice_id(_voices(engine), request["voice"]))
        engine.setProperty("rate", int(request["rate"]))
        _settle(engine)
        engine.save_to_file(request["text"], request["file"])
        engine.runAndWait()
        _synchronize(engine)
    finally:
        engine.disconnect(listener)
    return {"error": failures[0]} if failures else {"done": True}


@cache
def _voices(engine: Any) -> list[Any]:
    """All voices, listed once: that takes as long as rendering a short sentence."""
    return list(engine.getProperty("voices"))


def _settle(engine: Any) -> None:
    """Sees to it that the changes of voice and speed asked for so far are made.

    libespeak-ng works in a thread of its own, and pyttsx3's loop begins by cancelling what is still queued there, which
    may be the change of speed just asked for. Before the first loop, changes even wait in pyttsx3's own queue. The
    drivers of other systems have neither trouble.
    """
    if engine.driver_name == "espeak":
        engine.proxy.setBusy(False)
    _synchronize(engine)


def _synchronize(engine: Any) -> None:
    """Waits for libespeak-ng: pyttsx3's loop ends while the file is still being written."""
    if engine.driver_name == "espeak":
        import_module("pyttsx3.drivers._espeak").Synchronize()
        # The library may say that it is idle in the moment before it begins; the driver knows that a file is owed.
        while engine.proxy._driver._speaking:
            time.sleep(0.002)


def _voice_id(voices: list[Any], wanted: str) -> str:
    """The id of the voice with that id, name or language, else the words as given.

    eSpeak NG takes a variant after a plus sign ("en-gb+f3"), which is kept.
    """
    plain, plus, variant = wanted.casefold().partition("+")
    for voice in voices:
        if plain in (str(voice.id).casefold(), str(voice.name).casefold()):
            return f"{voice.id}{plus}{variant}"
    for voice in voices:
        if plain in (str(language).casefold() for language in voice.languages or []):
            return f"{voice.id}{plus}{variant}"
    return wanted


if __name__ == "__main__":
    sys.exit(main())
