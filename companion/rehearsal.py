"""The rehearsed session: a synthetic maker speaks, the companion hears the sound, moves and answers aloud.

Nothing in it is pretended. The maker's lines are rendered to sound in another voice, mixed with the faint noise of a
room, and pushed frame by frame through the listener that a microphone feeds. The whole is written as one sound file,
and played where there is a loudspeaker.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import yaml
from pydantic import BaseModel, ConfigDict

from companion import resources
from companion.ear.choose import choose
from companion.ear.recogniser import RATE, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME, SileroVoiceActivity
from companion.errors import MakerError
from companion.mouth.player import Player
from companion.mouth.sound import Sound, joined
from companion.mouth.soundfile import write_wav
from companion.mouth.voice import Voice
from companion.pattern.model import Pattern
from companion.pattern.reader import read_file
from companion.session import Session, Turn, open_session

SOUND_FILE = "rehearsal.wav"
_ROOM_LEVEL = 0.001  # of full scale: -60 dB, a quiet room
_FRAME_SECONDS = FRAME / RATE
_QUIET_BEFORE = 0.4  # seconds of the room before a line
_PATIENCE = 2.0  # seconds after a line in which the listener must have decided
_BETWEEN = 1.0  # seconds between a reply and the next line
_FILE_RATE = 22050


class Line(BaseModel):
    """One line of the maker's, and the place that it must lead to."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    say: str
    expect: dict[str, int | str]


class Script(BaseModel):
    """What is rehearsed: the sample pattern, the maker's voice, the lines."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    pattern: str
    maker: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Exchange:
    """One line of the rehearsal and what came of it; no turns where nothing was heard."""

    line: Line
    utterance: Utterance | None
    turns: tuple[Turn, ...]


@dataclass(slots=True)
class _Stage:
    """The rehearsal under way: who speaks and listens, and all sound so far."""

    session: Session
    listener: Listener
    companion: Voice
    maker: Voice
    player: Player | None
    sounds: list[Sound] = field(default_factory=list)
    noise: np.random.Generator = field(default_factory=lambda: np.random.default_rng(7))

    def room(self, seconds: float) -> Iterator[Samples]:
        """Frames of the room while nobody speaks."""
        for _ in range(round(seconds / _FRAME_SECONDS)):
            yield (self.noise.standard_normal(FRAME) * _ROOM_LEVEL).astype(np.float32)

    def frames(self, line: str) -> Iterator[Samples]:
        """A line of the maker's as a microphone would hand it on, with the room before and after it."""
        spoken = self.maker.render(line).at_rate(RATE).samples
        yield from self.room(_QUIET_BEFORE)
        padded = np.pad(spoken, (0, -len(spoken) % FRAME)).reshape(-1, FRAME)
        for voice, room in zip(padded, self.room(len(padded) * _FRAME_SECONDS), strict=True):
            yield voice + room
        yield from self.room(_PATIENCE)

    def listen(self, line: str) -> Utterance | None:
        """What the listener makes of the line; None where it decided nothing."""
        self.listener.contexts = self.session.contexts
        taken: list[Samples] = []
        heard: Utterance | None = None
        for frame in self.frames(line):
            taken.append(frame)
            heard = next(iter(self.listener.feed(frame)), None)
            if heard:
                break
        self.let_sound(Sound(np.concatenate(taken), RATE))
        return heard

    def answer(self, reply: str) -> None:
        """Speaks a reply; the microphone stays open meanwhile, and hears the room."""
        sound = self.companion.render(reply)
        self.let_sound(sound)
        for frame in self.room(sound.seconds):
            self.listener.feed(frame)

    def wait(self) -> None:
        """The moment that the maker takes before speaking again."""
        pause = list(self.room(_BETWEEN))
        self.let_sound(Sound(np.concatenate(pause), RATE))
        for frame in pause:
            self.listener.feed(frame)

    def let_sound(self, sound: Sound) -> None:
        """Keeps the sound for the file, and plays it where there is a loudspeaker."""
        self.sounds.append(sound)
        if self.player:
            self.player.play(sound)
            self.player.wait()


def script() -> Script:
    """The script in `shared/rehearsal.yaml`."""
    text = (resources.shared_folder() / "rehearsal.yaml").read_text(encoding="utf-8")
    return Script.model_validate(yaml.safe_load(text))


def perform(wanted: Script, *, sound_file: Path, player: Player | None = None) -> Iterator[Turn | Exchange]:
    """Plays the script; gives the opening, then each exchange as it happens. The sound file is there at the end."""
    with ExitStack() as stack:
        state = stack.enter_context(tempfile.TemporaryDirectory(prefix="rehearsal-"))
        ear, recogniser = choose("embedded")
        session = stack.enter_context(open_session(resources.sample(wanted.pattern), state=Path(state)))
        voice = SileroVoiceActivity()
        listener = stack.enter_context(Listener(recogniser, session.phrasebook, voice, session.contexts, ear))
        companion, maker = stack.enter_context(Voice()), stack.enter_context(Voice(wanted.maker))
        stage = _Stage(session, listener, companion, maker, player)
        opening = session.opening()
        yield opening
        stage.answer(opening.reply)
        for line in wanted.lines:
            utterance = stage.listen(line.say)
            turns = session.heard(utterance.verdict) if utterance else ()
            yield Exchange(line, utterance, turns)
            for turn in turns:
                stage.answer(turn.reply)
            stage.wait()
        write_wav(sound_file, joined(stage.sounds, rate=_FILE_RATE))


def rehearse(folder: Path, *, as_json: bool, silent: bool) -> bool:
    """The whole of `companion demo`, printed as it happens. True where every line led where the script says.

    Raises `MakerError`: no voice, no speech model, a folder that cannot be written.
    """
    wanted = script()
    sound_file = folder / SOUND_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        sound_file.touch()
    except OSError as error:
        raise MakerError(
            f"The folder {folder} cannot be written ({error.strerror}); name another with --out."
        ) from error
    with ExitStack() as stack:
        player = None if silent else _loudspeaker(stack, as_json)
        right = True
        number = 0
        for event in perform(wanted, sound_file=sound_file, player=player):
            if isinstance(event, Turn):
                _tell_opening(event, wanted, as_json)
                continue
            number += 1
            right = _led_where_it_should(event) and right
            _tell(event, number, len(wanted.lines), as_json)
    if not as_json:
        _tell_end(wanted, sound_file, right)
    return right


def _led_where_it_should(exchange: Exchange) -> bool:
    place = exchange.turns[-1].place if exchange.turns else None
    return place is not None and exchange.line.expect.items() <= place.as_json().items()


def _loudspeaker(stack: ExitStack, as_json: bool) -> Player | None:
    try:
        return stack.enter_context(Player())
    except MakerError:
        if not as_json:
            print("There is no loudspeaker here, so the rehearsal is only written to a file.", flush=True)
        return None


def _tell_opening(turn: Turn, wanted: Script, as_json: bool) -> None:
    if as_json:
        print(turn.as_json(), flush=True)
        return
    print(f"A rehearsed session on the sample pattern {wanted.pattern}, {len(wanted.lines)} lines.")
    print(f"Companion says: {turn.reply}", flush=True)


def _tell(exchange: Exchange, number: int, of: int, as_json: bool) -> None:
    if as_json:
        for turn in exchange.turns:
            print(turn.as_json(), flush=True)
        return
    print()
    print(f"Line {number} of {of}. Maker says: {exchange.line.say}")
    if exchange.utterance is None:
        print("Heard: nothing", flush=True)
        return
    verdict = exchange.utterance.verdict
    print(f"Heard: {verdict.text or verdict.free}")
    print(f"Score: {verdict.score:.2f}, decision: {verdict.decision}")
    for turn in exchange.turns:
        print(f"Companion says: {turn.reply}")
        if turn.place:
            print(f"Place: {_place(turn)}", flush=True)


def _place(turn: Turn) -> str:
    place = turn.place
    assert place is not None
    where = f"{place.piece} {place.copy}" + (f", round {place.round}" if place.round is not None else "")
    made = f"{place.stitch} of {place.stitches} stitches made, {place.left} left"
    repeat = f", repeat {place.repeat} of {place.repeats}" if place.repeat is not None else ""
    return f"{where}, {made}{repeat}"


def _tell_end(wanted: Script, sound_file: Path, right: bool) -> None:
    print()
    print("Every round of the pattern, as printed and as worked out:")
    for row in totals(read_file(resources.sample(wanted.pattern))):
        print(row)
    print()
    print(f"The whole rehearsal as sound: {sound_file}")
    print("Every line led to the right place." if right else "Not every line led to the right place; see above.")


def totals(pattern: Pattern) -> Iterator[str]:
    """The table of rounds: one plain line each, with the printed and the worked-out total."""
    for piece in pattern.pieces:
        for entry in piece.rounds:
            printed = entry.declared.stitches if entry.declared else None
            agrees = "agrees" if printed == entry.stitches else "DIFFERS"
            yield f"{piece.name}, {entry.label or 'set-up'}: printed {printed}, worked out {entry.stitches}, {agrees}"
