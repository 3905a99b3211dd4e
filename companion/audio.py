"""Microphone and loudspeaker together, for a whole evening: echo taken out, and both found again when they are lost.

A microphone is pulled out, a sound server is restarted, the machine sleeps: the session goes on, is told what happened,
and has its sound back as soon as there is any. What is left of the sound works on meanwhile: a lost device is opened in
a thread of its own.
"""

from __future__ import annotations

import math
import time
from collections import deque
from collections.abc import Callable
from typing import Literal, Self

import numpy as np

from companion import devices
from companion.ear.echo import Echo, EchoCanceller
from companion.ear.microphone import Microphone
from companion.ear.played import Played
from companion.ear.recogniser import Samples
from companion.mouth.line import Playback
from companion.mouth.player import Player
from companion.mouth.silent import SilentPlayer
from companion.mouth.sound import Sound
from companion.opening import Opening

News = Literal[
    "microphone_lost",
    "microphone_back",
    "microphone_mute",
    "loudspeaker_lost",
    "loudspeaker_back",
    "sound_restarted",
    "woken",
]
"""What happened to the sound. Each is the name of the line that says so (`Wording.line`)."""

_TRY_EVERY = 2.0  # seconds between attempts to open what is lost
_BOTH_WITHIN = 0.5  # seconds in which the other device is lost too, if the sound system itself is gone
_SLEPT = 5.0  # seconds by which the wall clock outruns the machine's own: it was suspended
_MUTE_AFTER = 60.0  # seconds of nothing but zeros since the start: switched off or muted


class Audio:
    """Both devices. A context manager.

    headphones: True where the companion's voice cannot reach the microphone, which saves cancelling it; False or None
    to find out by listening.
    heard_at: `time.monotonic()` at which the first sample of the frame read last reached the microphone.
    wall, machine: clocks in seconds; the second stands still while the machine sleeps.
    Raises devices.DeviceError when there is no sound to begin with; later it waits for it.
    """

    def __init__(
        self,
        *,
        microphone: int | str | None = None,
        loudspeaker: int | str | None = None,
        headphones: bool = False,
        wall: Callable[[], float] = time.time,
        machine: Callable[[], float] = time.monotonic,
    ) -> None:
        self._wanted_microphone = microphone
        self._wanted_loudspeaker = loudspeaker
        self._headphones = headphones
        self._wall, self._machine = wall, machine
        self.heard_at = time.monotonic()
        self._news: deque[News] = deque()
        self._volume = 0.0
        self._canceller: EchoCanceller | None = None
        self._player: Player | None = None
        self._microphone: Microphone | None = None
        self._opening_player: Opening[Player] | None = None
        self._opening_microphone: Opening[Microphone] | None = None
        self._nobody = SilentPlayer()
        self._heard_any = False
        self._started = machine()
        self._tried = -math.inf
        self._lost: set[str] = set()
        self._lost_at = -math.inf
        self._told = False
        self._woken = False
        self._gap = wall() - machine()
        try:
            self._use(self._new_microphone(), None)
            self._use(None, self._new_player())
        except devices.DeviceError:
            self.close()
            raise

    def __enter__(self) -> Self:
        """Gives itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Gives both devices back."""
        self.close()

    def close(self) -> None:
        """Gives both devices back. May be called twice."""
        for device in (self._player, self._microphone):
            if device is not None:
                device.close()
        for opening in (self._opening_player, self._opening_microphone):
            if opening is not None:
                opening.give_up()
        self._player = self._microphone = None
        self._opening_player = self._opening_microphone = None

    # --- listening

    def read(self, timeout: float = 0.5) -> Samples | None:
        """The next 512 samples at 16 kHz, without the companion's own voice; None where none came in that time."""
        self._look_after()
        if self._microphone is None:
            time.sleep(min(timeout, 0.1))
            return None
        frame = self._microphone.read(timeout)
        if frame is None:
            return None
        self.heard_at = time.monotonic() - self._microphone.age(frame)
        self._notice_muteness(frame.samples)
        if self._canceller is None:
            return frame.samples
        return self._canceller.clean(frame.samples, frame.time)

    @property
    def echo(self) -> Echo:
        """Whether the companion hears itself: "none" with headphones, "unknown" before it has spoken enough to tell."""
        return "none" if self._canceller is None else self._canceller.echo

    @property
    def only_own(self) -> bool:
        """Whether there was nothing but the companion's own voice in the frame read last."""
        return self._canceller is not None and self._canceller.only_own

    @property
    def overflows(self) -> int:
        """How many blocks of sound the microphone in use has lost."""
        return 0 if self._microphone is None else self._microphone.overflows

    def news(self) -> tuple[News, ...]:
        """What happened since this was asked last."""
        news = tuple(self._news)
        self._news.clear()
        return news

    # --- speaking

    @property
    def volume(self) -> float:
        """Decibels added to every sound."""
        return self._volume

    @volume.setter
    def volume(self, decibels: float) -> None:
        self._volume = decibels
        if self._player is not None:
            self._player.volume = decibels

    @property
    def playing(self) -> bool:
        """Whether a sound is being heard or waits to be."""
        return self._player is not None and self._player.playing

    @property
    def holding(self) -> bool:
        """Whether a sound was held and may go on."""
        return self._player is not None and self._player.holding

    @property
    def _out(self) -> Player | SilentPlayer:
        return self._player or self._nobody

    def play(self, sound: Sound) -> Playback:
        """Plays a sound after those waiting; where the loudspeaker is lost, it is over at once."""
        return self._out.play(sound)

    def stop(self) -> None:
        """Silence; what was waiting is dropped."""
        self._out.stop()

    def hold(self) -> None:
        """Silence; what was waiting is kept for `go_on`."""
        self._out.hold()

    def go_on(self) -> None:
        """What was held is heard again."""
        self._out.go_on()

    def wait(self, timeout: float | None = None) -> bool:
        """Waits until all is heard."""
        return self._out.wait(timeout)

    # --- what is lost and found

    def _look_after(self) -> None:
        self._drop_the_dead()
        if self._has_slept():
            # After a sleep, streams may run on without sound; new ones do not.
            self.close()
            self._woken = True
        if self._complete or self._machine() - self._lost_at < _BOTH_WITHIN:
            return
        self._tell_of_loss()
        self._take_up()
        if self._complete:
            self._tell_of_return()
        elif self._machine() - self._tried >= _TRY_EVERY:
            self._tried = self._machine()
            self._open_again()

    @property
    def _complete(self) -> bool:
        return self._player is not None and self._microphone is not None

    def _drop_the_dead(self) -> None:
        lost = set()
        if self._microphone is not None and not self._microphone.alive:
            self._microphone.close()
            self._microphone = None
            lost.add("microphone")
        if self._player is not None and not self._player.alive:
            self._player.close()
            self._player = None
            lost.add("loudspeaker")
        if lost and not self._lost:
            self._lost_at = self._machine()
        self._lost |= lost

    def _tell_of_loss(self) -> None:
        if self._told:
            return
        self._told = True
        # With both gone there is nothing to say it with; it is told when they are back.
        if self._lost == {"microphone"}:
            self._news.append("microphone_lost")
        elif self._lost == {"loudspeaker"}:
            self._news.append("loudspeaker_lost")

    def _has_slept(self) -> bool:
        gap = self._wall() - self._machine()
        slept, self._gap = gap - self._gap > _SLEPT, gap
        return slept

    def _open_again(self) -> None:
        """Begins to open what is not open and is not being opened."""
        if self._microphone is None and (self._opening_microphone is None or not self._opening_microphone.pending):
            self._opening_microphone = Opening(self._new_microphone)
        if self._player is None and (self._opening_player is None or not self._opening_player.pending):
            self._opening_player = Opening(self._new_player)

    def _take_up(self) -> None:
        """Uses what was opened meanwhile."""
        microphone = None if self._opening_microphone is None else self._opening_microphone.taken()
        player = None if self._opening_player is None else self._opening_player.taken()
        if microphone or player:
            self._use(microphone, player)

    def _tell_of_return(self) -> None:
        if self._woken:
            self._news.append("woken")
        elif self._lost == {"microphone"}:
            self._news.append("microphone_back")
        elif self._lost == {"loudspeaker"}:
            self._news.append("loudspeaker_back")
        else:
            self._news.append("sound_restarted")
        self._lost, self._lost_at, self._told, self._woken = set(), -math.inf, False, False

    def _new_microphone(self) -> Microphone:
        return Microphone(self._wanted_microphone)

    def _new_player(self) -> Player:
        return Player(self._wanted_loudspeaker)

    def _use(self, microphone: Microphone | None, player: Player | None) -> None:
        """Takes up what was opened. How the one is heard by the other has to be learnt anew then."""
        self._microphone = microphone or self._microphone
        self._player = player or self._player
        if self._player is None:
            return
        self._player.volume = self._volume
        if not self._headphones:
            played = Played(self._player.rate)
            self._player.tap = played.note
            self._canceller = EchoCanceller(played)

    def _notice_muteness(self, samples: Samples) -> None:
        if self._heard_any:
            return
        if np.any(samples):
            self._heard_any = True
        elif self._machine() - self._started > _MUTE_AFTER:
            self._heard_any = True  # said once is enough
            self._news.append("microphone_mute")
