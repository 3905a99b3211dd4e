"""The bench of live sessions: `python -m benchmarks.live`. Prints one table; needs the private sound server for `talk`.

Each part can be run alone and shortened: `python -m benchmarks.live talk --turns 20`.
"""

from __future__ import annotations

import argparse
import sys

import numpy as np

from benchmarks import live_echo, live_evening, live_talk
from tests.support.soundserver import missing

PARTS = ("talk", "over", "alone", "evening")


def main() -> int:
    """Runs the parts asked for and prints a table, a line a figure."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.live", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)}; all of them by default")
    parser.add_argument("--turns", type=int, default=60, help="questions in the conversation over virtual devices")
    parser.add_argument("--commands", type=int, default=600, help="commands spoken over the companion's voice")
    parser.add_argument("--minutes", type=float, default=60.0, help="of the companion speaking alone")
    parser.add_argument("--hours", type=float, default=8.0, help="of the simulated evening")
    arguments = parser.parse_args()
    unknown = set(arguments.parts) - set(PARTS)
    if unknown:
        parser.error(f"there is no part {', '.join(sorted(unknown))}")
    parts = arguments.parts or PARTS
    if "talk" in parts:
        reason = missing()
        if reason:
            print(f"talk: not measured, {reason}")
        else:
            _talk(arguments.turns)
    if "over" in parts:
        _over(arguments.commands)
    if "alone" in parts:
        count = live_echo.alone(arguments.minutes)
        _row(f"own words taken for a command in {arguments.minutes:g} minutes of speaking", str(count.taken), "0")
        _row("the same, fell silent by itself", str(count.halts), "")
        _row("the same, held its breath for a moment", str(count.breaths), "")
    if "evening" in parts:
        _evening(arguments.hours)
    return 0


def _talk(turns: int) -> None:
    times = live_talk.conversation(turns)
    median, late = np.percentile(times.answers, [50, 95]) * 1000
    _row(f"last word to first sample of the reply, median of {len(times.answers)}", f"{median:.0f} ms", "450 ms")
    _row("the same, 95th percentile", f"{late:.0f} ms", "650 ms")
    if times.silences:
        median, late = np.percentile(times.silences, [50, 95]) * 1000
        _row(f"first word to silence, median of {len(times.silences)}", f"{median:.0f} ms", "150 ms")
        _row("the same, 95th percentile", f"{late:.0f} ms", "")
    else:
        _row("first word to silence", "never silent", "150 ms")
    _row("utterances that nothing came of", str(times.unanswered), "0")


def _over(commands: int) -> None:
    quiet = live_echo.in_silence(max(30, commands // 10))
    _row(f"commands in silence, right of {quiet.said}", f"{100 * quiet.right / quiet.said:.1f} %", "")
    count = live_echo.spoken_over(commands)
    _row(f"commands over its voice, right of {count.said}", f"{100 * count.right / count.said:.1f} %", "98 %")
    _row("the same, asked back or not heard", str(count.asked), "")
    _row("the same, wrong and acted on", str(count.wrong), "0")
    median, late = np.percentile(count.held, [50, 95]) * 1000
    _row("first sound to silence in the simulated room, median", f"{median:.0f} ms", "150 ms")
    _row("the same, 95th percentile", f"{late:.0f} ms", "")


def _evening(hours: float) -> None:
    found = []
    for number, hour in enumerate(live_evening.evening(hours), 1):
        found.append(hour)
        told = f"{hour.memory:.0f} MB, {hour.frame_ms:.2f} ms a frame, {hour.turns} turns, {hour.state}"
        _row(f"evening, after hour {number}", told, "")
    if len(found) > 1:
        _row("growth of memory from the first hour to the last", f"{found[-1].memory - found[0].memory:.0f} MB", "0 MB")


def _row(what: str, measured: str, wanted: str) -> None:
    print(f"{what:<62} {measured:>16}   {f'wanted {wanted}' if wanted else ''}".rstrip(), flush=True)


if __name__ == "__main__":
    sys.exit(main())
