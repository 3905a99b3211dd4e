"""From a stream of frames to utterances: where speech begins and ends, and what was said.

This is the only way by which sound becomes a command, for microphone, file and demo alike. Time is counted in frames
of 32 ms, never by a clock, so that the same frames always give the same utterances, however fast they come.

The end of speech knows the grammar. After a quarter of a second of quiet an utterance is over, unless its best reading
can go on ("I have done thirty" ... "five"): then it is given 0.7 s. Decoding begins as soon as a pause looks like an
end, so that little is left to do when it is one. Speech that resumes soon after an utterance joins it: both are heard
together, and what the first part did is taken back.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from types import TracebackType
from typing import TYPE_CHECKING

import numpy as np

from companion.ear.attention import Attention
from companion.ear.beside import surer
from companion.ear.decide import Verdict, judge
from companion.ear.level import A_WHILE, LATELY, RoomLevel
from companion.ear.other_talk import OtherTalk
from companion.ear.recogniser import LONGEST_SECONDS, Hearing, Recogniser, Samples, can_go_on
from companion.ear.voice import FRAME, FRAME_SECONDS, VoiceActivity

if TYPE_CHECKING:
    from companion.phrases.book import Book
    from companion.phrases.graph import Grammar


def _frames(seconds: float) -> int:
    return round(seconds / FRAME_SECONDS)


PRE_ROLL = _frames(0.5)  # kept from before speech was noticed, so that soft first sounds are not lost
LOOK_EARLY = _frames(0.13)  # quiet after which decoding begins
END_COMPLETE = _frames(0.25)  # quiet that ends an utterance whose best reading is complete
END_OPEN = _frames(0.70)  # quiet that ends one whose best reading can go on
JOINS_WITHIN = _frames(0.80)  # speech that resumes this soon after an utterance belongs to it
LONGEST = _frames(LONGEST_SECONDS)
SHORTEST = _frames(0.13)  # less voice than this is a knock, not a word

_STARTS_AFTER = 2  # frames of voice on end that begin an utterance
_VOICE_AT, _QUIET_AT = 0.5, 0.35  # probability of voice from which, and below which, a frame is sure
_LOUD_ENOUGH = 4.0  # dB above the room from which a voice is noticed
_NEAR_START, _NEAR_STAY = 6.0, 3.0  # dB above a room in which others talk that somebody near is, to begin and to go on


@dataclass(frozen=True, slots=True)
class Utterance:
    """Something that was said, with the judgement on it.

    `began`, `ended` and `decided` count frames since the listener began: first frame of voice, first frame after it,
    and the frame at which the decision stood. `takes_back` is the number of the earlier utterance that this one
    replaces, whose effect must be undone before this one is acted on (also where this one is to be ignored).
    """

    number: int
    sound: Samples
    hearing: Hearing
    verdict: Verdict
    began: int
    ended: int
    decided: int
    takes_back: int | None = None

    @property
    def did_something(self) -> bool:
        """Whether it was acted on or answered with a question, so that there is something to take back."""
        return self.verdict.decision in ("act", "ask")


@dataclass(slots=True)
class _Speech:
    """Speech being gathered: its frames from the pre-roll on, and what is known of it so far."""

    frames: list[Samples]
    began: int
    voiced: int = 0
    quiet: int = 0
    joins: Utterance | None = None
    beside: bool = False
    decoding: Future[tuple[Hearing, Verdict, bool]] | None = None


@dataclass(slots=True)
class _Past:
    """The last utterance and its frames, while speech that resumes may still join it."""

    utterance: Utterance | None
    frames: list[Samples] = field(default_factory=list)
    ended: int = 0
    began: int = 0
    beside: bool = False


class Listener:
    """Turns frames into utterances. Use as a context manager, or call `close`, to end its one decoding thread.

    `contexts` says what may be said at this moment and may be changed between frames; None is everything. `phrasebook`
    may be changed as well, for the same book with another attention word. `beside_own_voice` is set while the
    companion speaks (see `companion.ear.beside`). In the first `settling` seconds it only
    learns how loud the room is: worth a second before a microphone, nothing before a file.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        phrasebook: Book,
        voice: VoiceActivity,
        contexts: Collection[str] | None = None,
        ear: str = "embedded",
        settling: float = 0.0,
    ) -> None:
        self.contexts = contexts
        self.phrasebook = phrasebook
        self.beside_own_voice = False
        self._recogniser = recogniser
        self._attention = Attention()
        self._other_talk = OtherTalk()
        self._voice = voice
        self._ear = ear
        self._room = RoomLevel()
        self._settling = _frames(settling)
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="ear")
        silence = np.zeros(FRAME, np.float32)  # a recording may begin with its first word
        self._before: deque[Samples] = deque([silence] * PRE_ROLL, maxlen=PRE_ROLL + _STARTS_AFTER)
        self._clock = 0
        self._run = 0
        self._run_beside = False
        self._count = 0
        self._speech: _Speech | None = None
        self._past: _Past | None = None
        self._overlong = False
        self._prepared: Grammar | None = None

    def __enter__(self) -> Listener:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the decoding thread; speech that is not finished is dropped."""
        self._speech = None
        self._thread.shutdown(wait=True, cancel_futures=True)

    @property
    def hears_speech(self) -> bool:
        """Whether somebody is speaking now, or paused so shortly that the utterance is not over."""
        return self._speech is not None

    @property
    def notices_voice(self) -> bool:
        """Whether the last frame held voice, or somebody is speaking: a frame sooner than `hears_speech`, less sure."""
        return self._run > 0 or self._speech is not None

    @property
    def joining(self) -> int | None:
        """The number of the utterance that the speech now heard belongs to, whose reply should not be spoken."""
        joins = self._speech.joins if self._speech else None
        return joins.number if joins else None

    def prepare(self) -> None:
        """Makes ready for what may be said now, beside everything else, so that its first words are not kept waiting.

        To be called whenever that may have changed, and after an utterance; quick where there is nothing to do.
        """
        grammar = self.phrasebook.grammar(self.contexts)
        if grammar is not self._prepared:
            self._prepared = grammar
            self._thread.submit(self._recogniser.prepare, grammar)

    def feed(self, frame: Samples) -> tuple[Utterance, ...]:
        """Take the next 512 samples; gives back the utterance that this frame decided, if it decided one."""
        return tuple(self._take(frame))

    def finish(self) -> tuple[Utterance, ...]:
        """The sound has ended: decide on speech that is still open."""
        return tuple(self._decide(self._speech)) if self._speech is not None else ()

    def _take(self, frame: Samples) -> Iterator[Utterance]:
        self._clock += 1
        probability = self._voice.probability(frame)
        self._room.hear(frame)
        self._before.append(frame)
        if self._speech is None:
            self._room.learn(voice=probability >= _QUIET_AT)
            settled = self._clock > self._settling
            near = self._room.above(LATELY) >= (_NEAR_START if self._room.talks else _LOUD_ENOUGH)
            self._wait_for_voice(settled and near and probability >= _VOICE_AT)
            return
        speech = self._speech
        speech.frames.append(frame)
        speech.beside |= self.beside_own_voice
        self._notice(speech, probability)
        if len(speech.frames) >= LONGEST:
            yield from self._decide(speech, cut=True)
        elif speech.quiet >= END_COMPLETE:
            yield from self._maybe_end(speech)

    def _wait_for_voice(self, voice: bool) -> None:
        self._run = self._run + 1 if voice else 0
        # Whoever cuts in silences the companion with the first frame of voice, but began beside its voice all the same.
        self._run_beside = voice and (self._run_beside or self.beside_own_voice)
        quiet_for = self._clock - self._past.ended if self._past else JOINS_WITHIN + 1
        if self._overlong:  # the rest of a speech that was cut off: nothing in it is for us until a real pause
            if self._run:
                assert self._past is not None
                self._past.ended = self._clock
            elif quiet_for > JOINS_WITHIN:
                self._overlong = False
            return
        if self._past and quiet_for <= JOINS_WITHIN:
            self._past.frames.append(self._before[-1])
        if self._run < _STARTS_AFTER:
            return
        if self._past and quiet_for <= JOINS_WITHIN + _STARTS_AFTER:
            past = self._past
            self._speech = _Speech(past.frames, past.began, SHORTEST, joins=past.utterance, beside=past.beside)
        else:
            self._speech = _Speech(list(self._before), self._clock - self._run, self._run)
        self._speech.beside |= self._run_beside
        self._past = None
        self._run = 0

    def _notice(self, speech: _Speech, probability: float) -> None:
        """Count voice and quiet; begin to decode where a pause looks like an end, drop that where speech goes on."""
        far = self._room.talks and self._room.above(A_WHILE) < _NEAR_STAY
        if probability < _QUIET_AT or far:
            speech.quiet += 1
        elif probability >= _VOICE_AT:
            speech.voiced += 1
            speech.quiet = 0
            speech.decoding = None
        if speech.quiet >= LOOK_EARLY and speech.decoding is None and speech.voiced >= SHORTEST:
            speech.decoding = self._decode(speech)

    def _decode(self, speech: _Speech) -> Future[tuple[Hearing, Verdict, bool]]:
        sound = np.concatenate(speech.frames)
        contexts, phrasebook = self.contexts, self.phrasebook
        grammar = phrasebook.grammar(contexts)  # not in the thread: a grammar is built by one thread alone

        def work() -> tuple[Hearing, Verdict, bool]:
            hearing = self._recogniser.hear(sound, grammar)
            verdict = judge(hearing, phrasebook, contexts, self._ear)
            return hearing, verdict, bool(verdict.text) and can_go_on(verdict.text, grammar)

        return self._thread.submit(work)

    def _maybe_end(self, speech: _Speech) -> Iterator[Utterance]:
        if speech.decoding is None:  # too little voice for a word
            self._remember(None, speech)
            return
        _, verdict, open_ = speech.decoding.result()
        if speech.quiet >= END_OPEN or not open_ or verdict.decision == "ignore":
            yield from self._decide(speech)

    def _decide(self, speech: _Speech, *, cut: bool = False) -> Iterator[Utterance]:
        if speech.voiced < SHORTEST:
            self._remember(None, speech)
            return
        hearing, verdict, _ = (speech.decoding or self._decode(speech)).result()
        ended = self._clock - speech.quiet
        if speech.beside:
            verdict = surer(verdict, self.phrasebook)
        verdict = self._other_talk.weigh(verdict, self.phrasebook, speech.began, ended)
        verdict = self._attention.let_through(verdict, self.phrasebook, speech.began, ended)
        self._count += 1
        utterance = Utterance(
            number=self._count,
            sound=np.concatenate(speech.frames),
            hearing=hearing,
            verdict=verdict,
            began=speech.began,
            ended=ended,
            decided=self._clock,
            takes_back=speech.joins.number if speech.joins and speech.joins.did_something else None,
        )
        self._remember(utterance, speech)
        self._overlong = cut
        yield utterance

    def _remember(self, utterance: Utterance | None, speech: _Speech) -> None:
        self._past = _Past(utterance, speech.frames, self._clock - speech.quiet, speech.began, speech.beside)
        self._speech = None
        self._prepared = None  # what was heard may have made its grammar too large to be kept
        self._run = 0
