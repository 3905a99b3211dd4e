"""What the ear makes of recordings, for `companion hear`.

It judges sound alone. A recording goes through the same path as a microphone: voice activity, end of speech,
recogniser, decision. Without a place and a state everything may be said, so that "yes" is heard as "yes"; a session
lets it in only while a question is open.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from companion.ear.decide import Verdict
from companion.ear.recogniser import RATE, Recogniser
from companion.ear.recording import read_recording
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import VoiceActivity, frames_of

if TYPE_CHECKING:
    from companion.phrases.book import Book

_QUIET = np.zeros(RATE, np.float32)  # put before and after a recording that is cut close to its words


@dataclass(frozen=True, slots=True)
class Heard:
    """What was made of one recording; `utterance` is None where there was no speech in it."""

    file: Path
    utterance: Utterance | None
    contexts: Collection[str] | None = None

    @property
    def verdict(self) -> Verdict:
        """The judgement on it: to ignore it, where there was no speech."""
        return self.utterance.verdict if self.utterance else Verdict("", (), "ignore", 0.0)

    def as_json(self) -> dict[str, object]:
        """The object that `companion hear --json` prints."""
        verdict = self.verdict
        command = verdict.commands[0] if verdict.commands else None
        slots: Mapping[str, int | str] = command.slots if command else {}
        return {
            "file": str(self.file),
            "heard": verdict.text,
            "command": command.name if command else None,
            "slots": dict(slots),
            "accepted": verdict.decision == "act",
            "decision": verdict.decision,
            "score": round(verdict.score, 4),
        }


def hear_recording(
    file: Path,
    recogniser: Recogniser,
    phrasebook: Book,
    voice: VoiceActivity,
    contexts: Collection[str] | None = None,
    ear: str = "embedded",
) -> Heard:
    """Listen to one wav file. Raises RecordingError, in one sentence, for a file that cannot be read.

    Of several utterances in one recording the first that is acted on counts, else the one with the best score.
    """
    voice.forget()
    utterances: dict[int, Utterance] = {}
    with Listener(recogniser, phrasebook, voice, contexts, ear) as listener:
        for frame in frames_of(np.concatenate([_QUIET[: RATE // 3], read_recording(file), _QUIET])):
            for utterance in listener.feed(frame):
                utterances.pop(utterance.takes_back or 0, None)
                utterances[utterance.number] = utterance
    best = max(utterances.values(), key=lambda u: (u.verdict.decision == "act", u.verdict.score), default=None)
    return Heard(file, best, contexts)
