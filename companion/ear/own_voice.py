"""Voice activity beside the companion's own voice, which is nobody's.

What is left of its voice after all cancelling sounds like speech, very softly, and in a silent room it would be taken
for somebody's: the companion would interrupt itself. The canceller knows when there was nothing else in a frame. Only
the judgement is changed, not the frame: it may hold the soft beginning of a maker's word.

Whoever cuts in is to be given way at once, before it is sure that they speak. The model needs a frame or two to know a
voice, and more where a word begins with a hiss ("stop"). A sound that stands out of the room and may be a voice is
enough to hold one's breath for; if nothing comes of it, the speech goes on.
"""

from __future__ import annotations

from collections.abc import Callable

from companion.ear.level import RoomLevel
from companion.ear.recogniser import Samples
from companion.ear.voice import VoiceActivity

_MAY_BE = 0.05  # probability of voice from which on a sound may be the beginning of a word
_STANDS_OUT = 15.0  # dB above the room of the last seconds


class OthersVoice:
    """A voice activity that counts no frame in which there is only the companion's own voice.

    only_own: whether that is so of the frame that is judged now (`EchoCanceller.only_own`).
    may_begin: whether somebody may have begun to speak in the last frame; sooner than that is sure, and often wrong.
    """

    def __init__(self, activity: VoiceActivity, only_own: Callable[[], bool]) -> None:
        self.may_begin = False
        self._activity = activity
        self._only_own = only_own
        self._room = RoomLevel()

    def probability(self, frame: Samples) -> float:
        """How likely a frame of 512 samples holds somebody else's speech, 0 to 1."""
        probability = self._activity.probability(frame)  # in any case: it remembers what came before
        self._room.hear(frame)
        self._room.learn(voice=False)  # all of it: whose voices are in the room does not matter here
        others = not self._only_own()
        self.may_begin = others and probability >= _MAY_BE and self._room.above(1) >= _STANDS_OUT
        return probability if others else 0.0

    def forget(self) -> None:
        """Begin a new stream of sound."""
        self._activity.forget()
