"""Which ear listens: the embedded one unless the maker, or a Vosk model that is here, says otherwise."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, get_args

from threadpoolctl import threadpool_limits

from companion import resources
from companion.ear import models
from companion.ear.models import ModelError
from companion.ear.recogniser import Recogniser

Ear = Literal["auto", "embedded", "vosk"]


def choose(ear: str = "auto", root: Path | None = None) -> tuple[str, Recogniser]:
    """The ear of that name, opened, and which it is ("embedded" or "vosk"), as its calibration is called.

    `auto` takes Vosk where an English Vosk model is in the models folder and the embedded ear otherwise. Sums of
    numpy run in one thread from then on: the matrices of hearing are so small that threads wait for each other longer
    than they work, which keeps the maker waiting and takes twice the power. Raises ModelError where the model of the
    wanted ear is not here, or the name is none of "auto", "embedded", "vosk".
    """
    if ear not in get_args(Ear):
        raise ModelError(f'There is no ear called "{ear}"; choose auto, embedded or vosk.')
    threadpool_limits(1, "blas")
    folder = english_vosk_model(root)
    if ear == "vosk" and folder is None:
        raise ModelError("There is no whole English Vosk model here; run `companion models vosk` to fetch one.")
    if folder is not None and ear != "embedded":
        from companion.ear.vosk_ear import VoskRecogniser

        return "vosk", VoskRecogniser(folder)
    from companion.ear.embedded import EmbeddedRecogniser

    return "embedded", EmbeddedRecogniser.open()


def english_vosk_model(root: Path | None = None) -> Path | None:
    """The folder of an English Vosk model among the models, if there is one; whole ones only, small before large."""
    found = sorted(p for p in (root or resources.models_folder()).glob("vosk-model*-en-*") if models.is_vosk_model(p))
    return min(found, key=lambda path: "small" not in path.name, default=None)
