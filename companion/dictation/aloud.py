"""Writing down aloud: the microphone listens, the loudspeaker answers, and the designer may speak over it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack

from companion.audio import Audio
from companion.dictation.dictating import Dictating
from companion.dictation.turn import Turn
from companion.ear.choose import choose
from companion.ear.stream import Listener
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity
from companion.mouth.voice import MouthError, Voice

_LAST_WORDS = 60.0  # seconds waited for the last reply before the devices are given back
_LAPSES_AFTER = round(8.0 / FRAME_SECONDS)  # frames that a question of the ear waits for its answer
_SETTLING = 1.0  # seconds in which the ear learns how loud the room is


def from_microphone(dictating: Dictating, *, ear: str, show: Callable[[Turn], None]) -> None:
    """Listens and answers until the pattern is finished or put away; `show` is given each turn.

    Raises `MakerError`: no microphone, no loudspeaker, no voice, no speech model.
    """
    with ExitStack() as stack:
        name, recogniser = choose(ear)
        voice = stack.enter_context(Voice())
        audio = stack.enter_context(Audio())
        activity = SileroVoiceActivity()
        conversation = _Conversation(dictating, audio, voice, show)
        conversation.answer(dictating.opening())
        while dictating.state != "off":
            # The designer may come to speak other terms, which is another book of phrases.
            with Listener(
                recogniser, dictating.phrasebook, activity, dictating.contexts, name, settling=_SETTLING
            ) as listener:
                conversation.listen(listener)
        audio.go_on()
        audio.wait(_LAST_WORDS)


class _Conversation:
    """What is heard and said, a frame of 32 ms at a time."""

    def __init__(self, dictating: Dictating, audio: Audio, voice: Voice, show: Callable[[Turn], None]) -> None:
        self._dictating = dictating
        self._audio = audio
        self._voice = voice
        self._show = show
        self._waited = 0

    def listen(self, listener: Listener) -> None:
        """Until all is said, or the terms have changed."""
        terms = self._dictating.draft.terms
        while self._dictating.state != "off" and self._dictating.draft.terms == terms:
            listener.contexts = self._dictating.contexts
            frame = self._audio.read()
            for happened in self._audio.news():
                self.answer(self._dictating.news(happened))
            if frame is None:
                continue
            for utterance in listener.feed(frame):
                if utterance.takes_back is not None:
                    self._audio.stop()
                    self._dictating.take_back()
                for turn in self._dictating.heard(utterance.verdict):
                    self.answer(turn)
            self._break_in(listener)
            self._waited = self._waited + 1 if self._quiet(listener) else 0
            if self._waited > _LAPSES_AFTER:
                self._waited = 0
                self.answer(self._dictating.lapse())

    def _quiet(self, listener: Listener) -> bool:
        """True while a question waits for its answer and nobody speaks."""
        return self._dictating.unsure and not listener.hears_speech and not self._audio.playing

    def answer(self, turn: Turn) -> None:
        """Shows a turn and says its reply. "Stop" is answered by silence; what was not meant for us changes nothing."""
        if turn.command is None and turn.heard is not None and not turn.reply:
            return
        self._show(turn)
        self._audio.stop()
        if turn.reply:
            try:
                self._audio.play(self._voice.render(turn.reply))
            except MouthError as error:
                self._show(self._dictating.plain(str(error)))

    def _break_in(self, listener: Listener) -> None:
        """Holds the reply while the designer speaks, and goes on with it where it was not cut off."""
        if listener.hears_speech:
            if self._audio.playing:
                self._audio.hold()
        elif self._audio.holding:
            self._audio.go_on()
