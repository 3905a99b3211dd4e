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
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any


def main() -> int:
    """Serves requests until standard input ends. Exit 1 where there is no synthesiser."""
    answers = _own_standard_output()
    try:
        engine = _engine()
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
    voices = engine.getProperty("voices")
    if "voices" in request:
        return {"voices": [{"id": v.id, "name": v.name, "languages": list(v.languages or [])} for v in voices]}
    failures: list[str] = []
    # A property that cannot be set, or a save that fails, is only told to listeners; runAndWait returns normally.
    listener = engine.connect("error", lambda name, exception: failures.append(str(exception)))
    try:
        if request.get("voice"):
            engine.setProperty("voice", _voice_id(voices, request["voice"]))
        engine.setProperty("rate", int(request["rate"]))
        _settle(engine)
        engine.save_to_file(request["text"], request["file"])
        engine.runAndWait()
        _settle(engine)
    finally:
        engine.disconnect(listener)
    return {"error": failures[0]} if failures else {"done": True}


def _settle(engine: Any) -> None:
    """Waits until libespeak-ng has done all that was asked of it.

    It works in a thread of its own and pyttsx3 does not wait for it: its loop ends while the file is being written, and
    begins by cancelling whatever is still queued, which may be the change of speed just asked for. The drivers of other
    systems do their work inside runAndWait.
    """
    if engine.driver_name == "espeak":
        import_module("pyttsx3.drivers._espeak").Synchronize()


def _voice_id(voices: list[Any], wanted: str) -> str:
    """The id of the voice with that id, name or language; else the words as given, for drivers that take variants."""
    lowered = wanted.casefold()
    for part in ("id", "name"):
        for voice in voices:
            if str(getattr(voice, part)).casefold() == lowered:
                return str(voice.id)
    for voice in voices:
        if lowered in (str(language).casefold() for language in voice.languages or []):
            return str(voice.id)
    return wanted


if __name__ == "__main__":
    sys.exit(main())
