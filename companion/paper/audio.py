"""The pattern read aloud: one MP3 file a piece, with a chapter for each round."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
import numpy.typing as npt

from companion.paper.id3 import Chapter, tag
from companion.paper.view import PieceView, View
from companion.wording.instructions import Instructions
from companion.wording.spoken import Speakable, sentence

PAUSE = 0.45
"""Seconds between two sentences."""
ROUND_PAUSE = 1.1
"""Seconds before a round."""


class Sound(Protocol):
    """Mono sound as the mouth renders it."""

    @property
    def samples(self) -> npt.NDArray[np.float32]:
        """The samples, shape (frames,), full scale -1.0 to 1.0."""
        ...

    @property
    def rate(self) -> int:
        """Frames a second."""
        ...


Render = Callable[[str], Sound]
"""Turns a sentence into sound. Whoever publishes hands it over, so that no voice is needed to lay a pattern out."""


@dataclass(frozen=True, slots=True)
class Passage:
    """What is read in one go: a chapter's title, and its sentences."""

    title: str
    sentences: tuple[str, ...]


def passages(view: View, piece: PieceView, number: int) -> Iterator[Passage]:
    """What is read of one piece: its introduction, then every round as the companion reads it.

    `number` is the piece's place in the pattern; the first one also tells title, rights, materials and cautions.
    """
    own = dict(view.pattern.abbreviations)
    speak = Speakable(view.terms, view.terms, own)  # the view is in these terms already
    read = Instructions(view.terms, Speakable(view.terms, view.pattern.terms, own))
    opening = [view.title, view.byline, view.personal, view.rights, f"In {view.terms_line}"] if number == 1 else []
    if number == 1:
        opening += ["What you need.", *view.materials, *(f"{name}: {value}" for name, value in view.facts)]
        opening += [*view.cautions, *view.notes]
    opening += [f"{piece.name}. {piece.make}", piece.shape, *piece.notes]
    yield Passage(piece.name, tuple(sentence(speak(text)) for text in opening if text.strip()))
    for round_ in piece.rounds:
        before, after = ([sentence(speak(text)) for text in notes] for notes in (round_.before, round_.after))
        yield Passage(round_.label, (*before, read.round(round_.entry), *after))
    if piece is view.pieces[-1] and view.assembly:
        yield Passage("Assembly", tuple(sentence(speak(text)) for text in ("Assembly.", *view.assembly)))


def write(view: View, piece: PieceView, number: int, path: Path, render: Render) -> tuple[Chapter, ...]:
    """Reads one piece aloud into an MP3 file with tags and chapters. Returns the chapters."""
    samples, rate, chapters = _spoken(tuple(passages(view, piece, number)), render)
    texts = {
        "TIT2": piece.name,
        "TIT3": view.personal,
        "TALB": view.title,
        "TPE1": view.pattern.designer,
        "TCOP": view.rights,
        "TRCK": f"{number}/{len(view.pieces)}",
    }
    path.write_bytes(tag(texts, chapters) + _encoded(samples, rate))
    return chapters


def _spoken(parts: Sequence[Passage], render: Render) -> tuple[npt.NDArray[np.float32], int, tuple[Chapter, ...]]:
    sounds: list[npt.NDArray[np.float32]] = []
    chapters: list[Chapter] = []
    frames = rate = 0

    def silence(seconds: float) -> None:
        nonlocal frames
        sounds.append(np.zeros(round(seconds * rate), dtype=np.float32))
        frames += len(sounds[-1])

    for part in parts:
        if frames:
            silence(ROUND_PAUSE)
        begin = frames
        for position, text in enumerate(part.sentences):
            sound = render(text)
            if rate and sound.rate != rate:
                raise ValueError("a voice keeps one sample rate")
            rate = sound.rate
            if position:
                silence(PAUSE)
            sounds.append(sound.samples)
            frames += len(sound.samples)
        chapters.append(Chapter(part.title, round(begin * 1000 / rate), round(frames * 1000 / rate)))
    return np.concatenate(sounds), rate, tuple(chapters)


def _encoded(samples: npt.NDArray[np.float32], rate: int) -> bytes:
    import soundfile  # only where sound is made

    out = io.BytesIO()
    soundfile.write(out, samples, rate, format="MP3", subtype="MPEG_LAYER_III")
    return out.getvalue()
