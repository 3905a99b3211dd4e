"""The companion's own voice taken out of what the microphone hears, so that a maker can cut in while it speaks.

Two cancellers work together. An adaptive filter subtracts the echo it expects; it leaves a maker's words whole, and
also what a small loudspeaker distorts. After it, WebRTC's canceller (the wheel pywebrtc-audio) removes the rest, and
much of the maker with it. What the second one leaves tells whether somebody speaks at all: if so, the listener gets the
sound from after the first, else from after the second.

Both must be shown each piece of played sound a little before its echo comes in, never after it. Three things see to
that: the times that the sound library reports for played and heard blocks; a lead; and a measurement of the true delay
from the sound itself, as no library knows the latency of a wireless loudspeaker. From then on the streams are kept in
step by the sound, to a tenth of a sample: in a silence two clocks run apart, and devices drop or add blocks; the first
eighth of a second of speaking shows where the echo is now, and nothing is listened to meanwhile.

Until the delay has been measured, in the first seconds of speaking, the microphone is taken as silent while the
companion speaks: better to be interruptible a moment later than to hear oneself. If what was played cannot be found in
what is heard, there is no echo (headphones), and sound passes as it is.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from companion.ear.adaptive import HOP, LOOKS_BACK, AdaptiveFilter
from companion.ear.delay import SPEAKING, measured_delay, speaks
from companion.ear.echo_left import EchoLeft
from companion.ear.lag import EchoLag
from companion.ear.played import Played
from companion.ear.recogniser import RATE, Samples
from companion.ear.streams import Streams
from companion.errors import MakerError

Echo = Literal["unknown", "heard", "none"]

_LEAD = 0.025
"""Seconds by which played sound is shown before its echo is due. At 0 cancelling fails, 0.01 to 0.3 is good; but a long
lead asks for sound that nobody has handed to the loudspeaker yet, and the filter would take that for silence."""
_GOOD = (0.01, 0.045)  # seconds of remaining delay from which on, and up to which, the lead is left as it is
_LAGS = 0.1  # samples by which an echo may be late before the streams are shifted
_JUMP = 1.0  # samples by which it may be late without being out of step
_BLOCK = RATE // 100  # the canceller works on 10 ms
_WINDOW = 2.0  # seconds of speaking over which a delay is measured
_AGREE = 0.005  # two measurements this close to each other are believed
_NO_ECHO_AFTER = 3  # windows of speaking without an echo: headphones
_PAUSE = 0.5  # seconds of silence in which a device may have dropped or added some blocks
_TAIL = 0.35  # seconds that a room still sounds after the companion fell silent
_LONGEST_DELAY = 1.0  # seconds
_FADE = 0.6  # from frame to frame, of the powers compared
_PATIENCE = 32  # frames, one second of speaking, in which a filter must have found its way
_LEARNT, _LOST = 10.0 ** (-20.0 / 10.0), 10.0 ** (-10.0 / 10.0)
"""Share of what is heard that may be left of the echo by a filter that has learnt its way, and from which on it has
lost it again."""
_RESIDUE = 10.0 ** (-22.0 / 10.0)
"""Where less than this share of the power is left by both cancellers, all there was was echo. A maker who speaks twelve
decibels under the companion leaves a sixteenth; an echo leaves a hundredth to a ten-thousandth. At 16 dB the first
sounds of a maker's word are missed, and it falls silent a frame later."""
_USUAL = 0.95  # from frame to frame, of what the filter usually leaves
_BEST = 10.0 ** (-30.0 / 10.0)  # share that it leaves at best in a real room; that it once was better tells nothing
_UNUSUAL = 10.0 ** (13.0 / 10.0)
"""Where the filter leaves so many times more than usual, there was more than echo, whatever the second canceller
leaves: that one takes the beginning of a maker's word for echo, too."""


class EchoError(MakerError):
    """Echo cannot be cancelled here; the message says what to do."""


class EchoCanceller:
    """Frames from the microphone in, the same frames without the companion's own voice out, 10 ms later.

    played: what the loudspeaker plays; hand its `note` to the player as tap.
    only_own: whether there was nothing but the companion's own voice in the last frame.
    echo: "heard" once an echo was measured, "none" where there is none (headphones), "unknown" before.
    delay: seconds from played to heard by the reported times, as measured; None before.
    Raises EchoError where the canceller is not installed.
    """

    def __init__(self, played: Played) -> None:
        try:
            from pywebrtc_audio import EchoCanceller as Canceller
        except ImportError as error:
            raise EchoError(
                "The companion cannot listen while it speaks, because pywebrtc-audio is not installed; "
                "use headphones, or run `pip install pywebrtc-audio`."
            ) from error
        self.echo: Echo = "unknown"
        self.delay: float | None = None
        self.only_own = False
        self._played = played
        self._filter = AdaptiveFilter()
        self._canceller: Any = Canceller(RATE)
        self._streams = Streams(played)
        self._lag = EchoLag()
        self._in_step = False  # whether the echo comes when it is expected; not known when speaking begins
        self._expected = _silence(0)  # the echo that the filter expected in the last frame
        self._behind = -_LEAD  # a heard sample is shown with the one played so many seconds before it
        self._near, self._far = _silence(0), _silence(0)  # less than a block, waiting for the rest
        # Both outputs begin with a block of silence, so that every frame in gives one frame out.
        self._whole, self._bare = _silence(_BLOCK), _silence(_BLOCK)
        # Seconds since the companion was last heard, as far as is known, and since its voice was.
        self._silent_for = self._without_voice = np.inf
        # Of the last frames: as heard, after the filter, after both.
        self._power_in = self._power_whole = self._power_left = 0.0
        self._left = EchoLeft()
        self._learnt, self._lost = False, False  # whether the filter knew its way once, and does not any more
        self._in_vain = 0  # frames since it was last right, or began to learn
        self._usual = 1.0  # share of an echo's power that it leaves
        self._window: list[tuple[Samples, Samples]] = []
        self._measured: float | None = None
        self._without = 0

    @property
    def speaking(self) -> bool:
        """Whether the companion's own voice may be in what is heard now."""
        return self._silent_for < _TAIL + (_LONGEST_DELAY if self.delay is None else max(0.0, self.delay))

    @property
    def _astray(self) -> bool:
        return self._lost or not self._learnt

    def clean(self, samples: Samples, time: float) -> Samples:
        """The frame without echo. time: the stream time of its first sample."""
        numbers = self._streams.take(len(samples), time)
        # Also what is not due yet: where a device dropped some blocks, it may be heard sooner than is known.
        loud = self._played.loudest(numbers[0]) > SPEAKING
        speaks = loud and self._played.speaks(numbers[0])
        if self._streams.jumped or (speaks and self._without_voice > _PAUSE):
            self._in_step = False
            self._lag.forget()
            self._left.forget()
        # In a tone no lag can be found; to listen to nothing meanwhile would lose the words of who answers it at once.
        self._without_voice = 0.0 if speaks else self._without_voice + len(samples) / RATE
        self._silent_for = 0.0 if loud else self._silent_for + len(samples) / RATE
        if self.speaking:
            self._measure(samples, self._played.samples(numbers))
        shown = numbers - self._behind * RATE
        far = self._played.samples(shown)
        # Where the loudspeaker was told later than its times say, what is missing must not be taken for silence.
        known = self._played.knows(shown)
        whole, bare = self._cancelled(samples, far, learn=known and (self._in_step or self._astray))
        self.only_own = False
        if self.echo == "none":
            return samples
        if not self.speaking:
            return whole
        self._keep_step(samples)
        if not self._in_step:
            # What a maker said before it began to speak, and what was subtracted out of step, tell nothing of its echo.
            self._power_in = self._power_whole = self._power_left = 0.0
        # Sums of power, not a mean of shares: a loud echo after a pause must count at once.
        self._power_in = _FADE * self._power_in + float((samples**2).sum())
        self._power_left = _FADE * self._power_left + float((bare**2).sum())
        self._check(samples)
        # A filter that is wrong about the way adds what it expected to what was heard.
        self._power_whole = _FADE * self._power_whole + float((whole**2).sum())
        adds = self._power_whole > 2.0 * self._power_in + 1e-4
        if self.echo == "unknown" or self._astray or not self._in_step or adds or not known:
            return _silence(len(samples))
        self.only_own = self._is_only_own()
        return bare if self.only_own else whole

    def _is_only_own(self) -> bool:
        leaves = self._power_whole / (self._power_in + 1e-12)
        unusual = leaves > _UNUSUAL * self._usual
        only_own = self._power_left < _RESIDUE * self._power_in and not unusual
        if only_own:
            self._usual = max(_BEST, _USUAL * self._usual + (1.0 - _USUAL) * leaves)
        return only_own

    def _check(self, heard: Samples) -> None:
        """Sees whether what is left by the filter goes along with the echo that it expected."""
        self._left.add(heard, self._expected)
        share = self._left.share
        if share is None:
            return
        self._in_step = True  # half a second was looked at, which tells as much
        self._learnt = self._learnt or share < _LEARNT
        self._lost = share > _LOST
        self._in_vain = self._in_vain + 1 if self._lost else 0
        if self._in_vain > _PATIENCE:
            # Sound was lost on its way, and what the filter is sure of is wrong: it would unlearn that too slowly.
            self._learn_anew()

    def _keep_step(self, heard: Samples) -> None:
        """Shifts the streams to where the echo is; the sound itself is believed before any reported time."""
        lag = self._lag.of(heard, self._expected)
        if lag is None:
            return
        # After a jump it is looked at once more.
        self._in_step = abs(lag) < _JUMP
        if abs(lag) < _LAGS:
            self._streams.in_step(0.0)
        else:
            self._streams.in_step(lag)
            self._lag.forget()
            self._left.forget()
            self._lost = False
            before = self._streams.next - self._behind * RATE
            self._filter.shifted(self._played.samples(before - np.arange(LOOKS_BACK, 0, -1, dtype=np.float64)))

    def _cancelled(self, near: Samples, far: Samples, *, learn: bool) -> tuple[Samples, Samples]:
        """The frame after the first canceller and after both, each 10 ms late. A frame is a whole number of hops."""
        filtered = [
            self._filter.process(near[i : i + HOP], far[i : i + HOP], learn=learn) for i in range(0, len(near), HOP)
        ]
        self._expected = near - np.concatenate(filtered)
        self._whole = np.concatenate([self._whole, *filtered])
        self._near, self._far = np.concatenate([self._near, *filtered]), np.concatenate([self._far, far])
        blocks = len(self._near) - len(self._near) % _BLOCK
        done = self._canceller.process(self._near[:blocks], self._far[:blocks])
        self._near, self._far = self._near[blocks:], self._far[blocks:]
        self._bare = np.concatenate([self._bare, done])
        whole, self._whole = self._whole[: len(near)], self._whole[len(near) :]
        bare, self._bare = self._bare[: len(near)], self._bare[len(near) :]
        return whole, bare

    def _measure(self, near: Samples, playing: Samples) -> None:
        """Gathers sound while the companion speaks, and measures the delay once there is enough of it."""
        self._window.append((near, playing))
        if sum(len(part) for part, _ in self._window) < _WINDOW * RATE:
            return
        heard, played = (np.concatenate(parts) for parts in zip(*self._window, strict=True))
        self._window.clear()
        if not speaks(played):
            return
        found = measured_delay(heard, played, latest=_LONGEST_DELAY)
        if found is None:
            self._without += 1
            if self.echo == "unknown" and self._without >= _NO_ECHO_AFTER:
                self.echo = "none"
            return
        self._without = 0
        before, self._measured = self._measured, found.seconds
        if self.echo != "heard" or (before is not None and abs(found.seconds - before) < _AGREE):
            self._follow(found.seconds)

    def _follow(self, delay: float) -> None:
        self.echo, self.delay = "heard", delay
        if not _GOOD[0] <= delay - self._behind <= _GOOD[1]:
            self._behind = delay - _LEAD
            self._learn_anew()

    def _learn_anew(self) -> None:
        """What the cancellers learnt of the old way is only in the way."""
        self._left.forget()
        self._streams.forget()
        self._learnt = self._lost = False
        self._in_vain = 0
        self._usual = 1.0
        self._filter = AdaptiveFilter()
        self._canceller.reset()


def _silence(count: int) -> Samples:
    return np.zeros(count, dtype=np.float32)
