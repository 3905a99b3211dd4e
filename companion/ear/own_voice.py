"""Voice activity beside the companion's own voice, which is nobody's.

What is left of its voice after all cancelling sounds like speech, very softly, and in a silent room it would be taken
for somebody's: the companion would interrupt itself. The canceller knows when there was nothing else in a frame. Only
the judgement is changed, not the frame: it may hold the soft beginning of a maker's word.
"""

from __future__ import annotations

from collections.abc import Callable

from companion.ear.recogniser import Samples
from companion.ear.voice import VoiceActivity


class OthersVoice:
    """A voice activity that counts no frame in which there is only the companion's own voice.

    only_own: whether that is so of the frame that is judged now (`EchoCanceller.only_own`).
    """

    def __init__(self, activity: VoiceActivity, only_own: Callable[[], bool]) -> None:
        self._activity = activity
        self._only_own = only_own

    def probability(self, frame: Samples) -> float:
        """How likely a frame of 512 samples holds somebody else's speech, 0 to 1."""
        probability = self._activity.probability(frame)  # in any case: it remembers what came before
        return 0.0 if self._only_own() else probability

    def forget(self) -> None:
        """Begin a new stream of sound."""
        self._activity.forget()
