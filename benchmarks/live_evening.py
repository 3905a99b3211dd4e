"""A long evening in short: hours of a session's sound, pushed through as fast as it goes.

The real ear, session and voice, without devices: a maker works a pattern round after round, with minutes of silence and
of noise between. What must stay as it was: memory, the time a frame takes, the place, the state.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion import resources
from companion.ear.choose import choose
from companion.ear.echo import EchoCanceller
from companion.ear.own_voice import OthersVoice
from companion.ear.played import Played
from companion.ear.recogniser import RATE
from companion.ear.stream import Listener
from companion.ear.voice import FRAME, SileroVoiceActivity, frames_of
from companion.garbage import collect, collected_in_the_quiet
from companion.mouth.replies import Replies
from companion.mouth.silent import SilentPlayer
from companion.mouth.voice import Voice
from companion.session import open_session

_LINES = ("how many are left", "i have done three", "where am i", "undo that", "what comes next")
_EVERY = 60.0  # seconds between two lines


@dataclass(frozen=True, slots=True)
class Hour:
    """At the end of each simulated hour: memory of its own in megabytes, milliseconds a frame took, turns, state."""

    memory: float
    frame_ms: float
    turns: int
    state: str


def evening(hours: float) -> Iterator[Hour]:
    """So many hours, each given when it is over."""
    with tempfile.TemporaryDirectory() as state, Voice("en-us") as voice, Voice("en-gb") as maker:
        said = [frames_of(maker.render(line).at_rate(RATE).samples) for line in _LINES]
        player = SilentPlayer()
        name, recogniser = choose("auto")
        noise = np.random.default_rng(1)
        played = Played(RATE)
        canceller = EchoCanceller(played)
        activity = OthersVoice(SileroVoiceActivity(), lambda: canceller.only_own)
        with (
            collected_in_the_quiet(),
            open_session(resources.sample("pocket-mouse.txt"), state=Path(state)) as session,
            Listener(recogniser, session.called, activity, session.contexts, name) as listener,
            Replies(voice, player) as replies,
        ):
            turns, frame = 0, 0
            for _ in range(round(hours)):
                begun = time.perf_counter()
                end = frame + round(3600 * RATE / FRAME)
                line = 0
                while frame < end:
                    silent = round(_EVERY * RATE / FRAME) - len(said[line % len(said)])
                    for samples in [*said[line % len(said)], *([None] * silent)]:
                        heard = 0.0005 * noise.standard_normal(FRAME).astype(np.float32)
                        if samples is not None:
                            heard = heard + samples
                        moment = frame * FRAME / RATE
                        played.note(np.zeros(FRAME, dtype=np.float32), moment)
                        listener.contexts, listener.phrasebook = session.contexts, session.called
                        listener.prepare()
                        for utterance in listener.feed(canceller.clean(heard.astype(np.float32), moment)):
                            for turn in session.heard(utterance.verdict):
                                turns += 1
                                if turn.reply:
                                    replies.say(turn.reply)
                            replies.expect(session.likely())
                            collect()
                        frame += 1
                    player.played.clear()
                    line += 1
                spent = (time.perf_counter() - begun) * 1000 / round(3600 * RATE / FRAME)
                yield Hour(_own_memory(), spent, turns, session.state)


def _own_memory() -> float:
    """Megabytes that are the process's own now, in memory or swapped out (Linux); elsewhere the most it had so far.

    Pages of files, such as libraries and the speech model, are left out: the system drops and reads them again as it
    likes, which says nothing of the program.
    """
    try:
        lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
        return sum(float(line.split()[1]) for line in lines if line.startswith(("RssAnon:", "VmSwap:"))) / 1e3
    except OSError:
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        return peak / (1e6 if sys.platform == "darwin" else 1e3)
