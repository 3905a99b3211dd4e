"""Kill -9 at random moments: a child process works, acknowledges every command on a pipe, and is killed.

After each kill the journal is opened again and held against the model: everything acknowledged must be there, and at
most the one command that was under way besides it. Works where `os.fork` does.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from benchmarks.place_model import COMMANDS, Model, Plan, pattern_of, random_plan
from companion.place.work import Work


@dataclass(slots=True)
class Tally:
    """What came of the kills: acknowledged commands, and commands found on disk that were not acknowledged yet."""

    kills: int = 0
    acknowledged: int = 0
    under_way: int = 0


class LostOrInventedError(Exception):
    """The journal does not hold what was acknowledged, or holds what was never said."""


def commands(seed: int) -> Iterator[tuple[str, dict[str, int]]]:
    """An endless stream of commands, the same for the same seed."""
    random = Random(seed)
    while True:
        name, slot, most = random.choice(COMMANDS)
        yield name, {slot: random.randint(1, most)} if slot else {}


def run(folder: Path, kills: int, seed: int = 0, longest: float = 0.03) -> Tally:
    """Works on one project under `folder` through so many kills. Raises `LostOrInventedError`."""
    random = Random(seed)
    plan = random_plan(random)
    model, tally = Model(plan), Tally()
    for kill in range(kills):
        acknowledged = _until_killed(plan, folder, kill, random.random() * longest, while_opening=kill % 8 == 7)
        stream = commands(kill)
        for _ in range(acknowledged):
            model.do(*next(stream))
        tally.kills += 1
        tally.acknowledged += acknowledged
        tally.under_way += _compare(plan, folder, model, *next(stream))
        model.rip_to = None
    return tally


def _until_killed(plan: Plan, folder: Path, seed: int, after: float, *, while_opening: bool) -> int:
    """Forks a worker, kills it `after` seconds from opening (or from its start), returns how much it acknowledged."""
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(out)
        _work(plan, folder, seed, into)
    os.close(into)
    received = b"" if while_opening else os.read(out, 1)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status):
        raise LostOrInventedError("the worker ended by itself")
    while chunk := os.read(out, 65536):
        received += chunk
    os.close(out)
    return max(0, len(received) - 1)


def _work(plan: Plan, folder: Path, seed: int, into: int) -> None:
    """The worker: one byte when the project is open, one after every command. Never returns."""
    try:
        work = Work.open(pattern_of(plan), folder)
        os.write(into, b"+")
        for name, slots in commands(seed):
            work.handle(name, slots)
            os.write(into, b"+")
    finally:
        os._exit(1)


def _compare(plan: Plan, folder: Path, model: Model, name: str, slots: dict[str, int]) -> bool:
    """Holds the journal against the model; lets the model do the command that was under way, if that is there."""
    with Work.open(pattern_of(plan), folder) as work:
        found = (work.place.as_json(), work.depth, work.view.grain)
    if found == (model.view(), len(model.past), model.grain):
        return False
    model.do(name, slots)
    if found != (model.view(), len(model.past), model.grain):
        raise LostOrInventedError(f"{found} on disk, {model.view()} with {len(model.past)} acknowledged")
    return True


if __name__ == "__main__":
    print(run(Path(sys.argv[1]), int(sys.argv[2])))
