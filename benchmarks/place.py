"""The bench of the place: `python -m benchmarks.place` prints one table.

100,000 random sessions against the model of single stitches, 1,000 kills, the trace of system calls, and how long an
answer takes in a pattern of 200 rounds. `--sessions N`, `--kills N` make it shorter; `--keep FILE` writes a journal of
the present version for the tests of later ones.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from statistics import median, quantiles

from benchmarks import place_flush, place_kill
from benchmarks.place_model import COMMANDS, Model, PlanPiece, PlanRound, differences, pattern_of, random_plan
from companion.place.questions import QUESTIONS
from companion.place.recount import RECOUNT
from companion.place.ripping import RIPS
from companion.place.work import Work

MEMORY = Path("/dev/shm")
WORDS = 12
"""Commands in a random session, on average."""


@contextmanager
def folder() -> Iterator[Path]:
    """A folder in memory where there is one: the sessions are to be many, not on disk."""
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as name:
        yield Path(name)


def sessions(count: int) -> str:
    """Random sessions; one command in ten is followed by every question, each session by a new start."""
    started = time.perf_counter()
    said = 0
    with folder() as base:
        done = 0
        while done < count:
            random = Random(done)
            plan = random_plan(random)
            pattern, state = pattern_of(plan), base / str(done)
            # One pattern serves twenty sessions, each going on from where the last one ended.
            model = Model(plan)
            for _ in range(min(20, count - done)):
                with Work.open(pattern, state) as work:
                    said += _session(work, model, random)
                done += 1
            shutil.rmtree(state)
            if done % 1000 == 0:
                print(f"\r{done:,} sessions", end="", file=sys.stderr, flush=True)
    seconds = time.perf_counter() - started
    return f"{count:,} sessions, {said:,} commands, place and answers equal; {seconds:.0f} s"


def _session(work: Work, model: Model, random: Random) -> int:
    words = random.randint(1, 2 * WORDS)
    model.rip_to = None
    for _ in range(words):
        name, slot, most = random.choice(COMMANDS)
        slots = {slot: random.randint(1, most)} if slot else {}
        outcome = work.handle(name, slots)
        if outcome.accepted is not model.do(name, slots) or work.place.as_json() != model.view():
            raise AssertionError(f"{name} {slots}: {outcome.answer} against {model.view()}")
        if random.random() < 0.1:
            model.rip_to = None
            if wrong := differences(model, lambda question: work.handle(question).answer):
                raise AssertionError(wrong)
    return words


def answers() -> str:
    """Every question, a hundred times, in a pattern of 200 rounds with repeats, at its middle."""
    rounds = tuple(PlanRound(2, 12, 3, (-1, 0, 1)[i % 3], 3, 1, False) for i in range(200))
    worst: dict[str, float] = {}
    with folder() as state, Work.open(pattern_of((PlanPiece(rounds, 3),)), state) as work:
        work.handle("go_to_round", {"round": 100})
        for _ in range(30):
            work.handle("more", {"stitches": 1})
        for name in (*QUESTIONS, *RECOUNT, *RIPS, *_FACTS, "where_am_i", "time_left", "how_to"):
            slots = {"stitches": 31, "repeat": 2, "round": 50, "rounds": 30} if name in (*RECOUNT, *RIPS) else {}
            times = []
            for _ in range(100):
                started = time.process_time()
                work.handle(name, slots)
                times.append((time.process_time() - started) * 1000)
            worst[name] = quantiles(times, n=100)[94]
    slowest = max(worst, key=lambda name: worst[name])
    middle = median(worst.values())
    times_found = f"median {middle:.2f} ms, slowest {slowest} {worst[slowest]:.2f} ms"
    return f"{len(worst)} questions, processor time, 95th percentile: {times_found}"


_FACTS = ("progress", "to_do", "which_colour", "colour_change", "where_eyes", "what_needed", "which_hook", "my_notes")


def kills(count: int) -> str:
    """Kill -9 at random moments, on the disk."""
    with tempfile.TemporaryDirectory() as name:
        tally = place_kill.run(Path(name), count)
    return (
        f"{tally.kills:,} kills, {tally.acknowledged:,} commands acknowledged, none lost, none invented; "
        f"{tally.under_way:,} times the command under way was on disk already"
    )


def trace() -> str:
    """Flushes before each reply, from the trace of system calls."""
    if not place_flush.can_trace():
        return "strace is not installed, or may not trace here"
    flushes = place_flush.flushed_before_reply()
    return f"{len(flushes)} replies, at least {min(flushes.values())} flush to disk before each"


def keep(file: Path) -> None:
    """Writes a journal of the present version, with a few events of each kind."""
    plan = (PlanPiece((PlanRound(6, 0, 0, 0, 0, 1, False), PlanRound(0, 6, 1, 1, 0, 3, True)), 2),)
    with folder() as state:
        with Work.open(pattern_of(plan), state) as work:
            for name, slots in (("next", {}), ("next", {}), ("have_done", {"stitches": 5}), ("undo", {}), ("redo", {})):
                work.handle(name, slots)
            work.handle("note", {"text": "soft yarn"})
            work.handle("my_gauge", {"stitches": 20, "rounds": 22})
            for name in ("grain_repeat", "next", "done", "done", "done_that", "pause", "resume", "goodbye"):
                work.handle(name)
            path = work.journal.path
        shutil.copyfile(path, file)


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sessions", type=int, default=100_000)
    parser.add_argument("--kills", type=int, default=1_000)
    parser.add_argument("--keep", type=Path)
    chosen = parser.parse_args()
    if chosen.keep:
        keep(chosen.keep)
        return
    print(f"answers   {answers()}", flush=True)
    print(f"trace     {trace()}", flush=True)
    print(f"kills     {kills(chosen.kills)}", flush=True)
    print(f"sessions  {sessions(chosen.sessions)}", flush=True)


if __name__ == "__main__":
    main()
