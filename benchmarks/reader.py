"""The reader on the bench: speed, growth, long lines, start, random patterns, hostile text.

Run as `python -m benchmarks.reader`. Prints one plain line a figure. `--quick` does a hundredth of the random work.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable

from benchmarks.random_patterns import make, spoil
from benchmarks.reader_fuzz import CORPUS, hostile_text
from companion.pattern.coverage import unaccounted
from companion.pattern.model import Pattern
from companion.pattern.reader import read
from companion.pattern.writing import write


def rounds(pattern: Pattern) -> int:
    """How many rounds a pattern has, a range of seven counted as seven."""
    return sum(entry.times for piece in pattern.pieces for entry in piece.rounds)


def ordinary(pieces: int) -> str:
    """A pattern such as designers write, of so many pieces of fifteen rounds: growing, straight, narrowing."""
    lines = ["Many Parts", "Terms: US", ""]
    for piece in range(pieces):
        lines += [f"PART {piece + 1} (make 2)", "Rnd 1: 6 sc in a magic ring [6]", "Rnd 2: inc x 6 [12]"]
        lines += [f"Rnd {n + 2}: ({n} sc, inc) x 6 [{6 * n + 12}]" for n in range(1, 5)]
        lines += ["Rnds 7-11: sc in each st around [36]"]
        lines += [
            f"Rnd {16 - n}: *sc in next {n} sts, sc2tog; rep from * around ({6 * n + 6})" for n in range(4, 0, -1)
        ]
        lines += ["Stuff firmly.", "Fasten off, leaving a long tail.", ""]
    return "\n".join(lines)


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """The processor time of one run, the best of several."""
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


def speed() -> None:
    """Rounds a second, on one core."""
    text = ordinary(200)
    took = seconds(lambda: read(text))
    count = rounds(read(text))
    print(f"ordinary pattern: {count} rounds in {took:.3f} s, {count / took:,.0f} rounds a second")
    texts = [make(seed).text for seed in range(200)]
    took = seconds(lambda: [read(text) for text in texts], 1)
    count = sum(rounds(read(text)) for text in texts)
    print(f"no two rounds alike: {count} rounds in {took:.3f} s, {count / took:,.0f} rounds a second")


def growth() -> None:
    """Time against length: the same for every round, however long the pattern."""
    for pieces in (25, 50, 100, 200, 400):
        text = ordinary(pieces)
        took = seconds(lambda text=text: read(text))  # type: ignore[misc]
        print(f"growth: {len(text):,} characters in {took * 1000:.0f} ms, {took / len(text) * 1e6:.2f} µs a character")


def long_lines() -> None:
    """One round of the same few words over and over: four times as long, four times the time."""
    for words in ("sc, inc, ", "(sc, inc) x 2, ", "12, ", "ch 3, ", "sc and inc and ", "rep from * ", "= 12 sts. "):
        took = []
        for length in (4_975, 19_900):
            text = "Rnd 1: 6 sc in MR\nRnd 2: " + (words * length)[:length]
            took.append(seconds(lambda text=text: read(text), 1) * 1000)  # type: ignore[misc]
        print(f"one line of “{words.strip()}”: 4,975 characters in {took[0]:.0f} ms, 19,900 in {took[1]:.0f} ms")


def start() -> None:
    """`companion check` on 200 rounds, from the start of the interpreter to its end, against an interpreter alone.

    Modules are compiled beforehand, as they are where the program is installed.
    """
    lines = ["Long One", "Terms: US", "", "BODY", "Rnd 1: 200 sc in a magic ring [200]"]
    lines += [f"Rnd {n}: {n % 90 + 3} sc, inc, {n % 50 + 2} sc, dec, sc in each st around [200]" for n in range(2, 201)]
    with tempfile.TemporaryDirectory() as compiled:
        settings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        settings["PYTHONPYCACHEPREFIX"] = compiled

        def run(*arguments: str, text: str = "") -> float:
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            command = [sys.executable, *arguments]
            subprocess.run(command, input=text, text=True, stdout=subprocess.DEVNULL, env=settings, check=True)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

        alone = min(run("-c", "import sys; sys.stdin.read()") for _ in range(9))
        for kind, text in (("in parts as designers write them", ordinary(14)), ("no two alike", "\n".join(lines))):
            whole = min(run("-m", "companion", "check", "-", "--json", text=text) for _ in range(9))
            beyond = (whole - alone) * 1000
            print(
                f"start: 200 rounds, {kind}, checked in {beyond:.0f} ms beyond the interpreter's {alone * 1000:.0f} ms"
            )


def random_patterns(count: int) -> None:
    """Random patterns against the counter that walks; with one fault each; written out and read back."""
    wrong = missed = lost = total = 0
    for seed in range(count):
        made = make(seed)
        pattern = read(made.text)
        total += rounds(pattern)
        expected = [[(r.into, r.total) for r in piece] for _, piece in made.pieces]
        wrong += [[(r.worked_into, r.stitches) for r in p.rounds] for p in pattern.pieces] != expected or bool(
            pattern.problems
        )
        text, line = spoil(made, seed)
        missed += [(p.line, p.kind) for p in read(text).problems] != [(line, "total_mismatch")]
        again = read(write(pattern, "UK" if pattern.terms == "US" else "US"))
        lost += [[r.instructions for r in p.rounds] for p in again.pieces] != [
            [r.instructions for r in p.rounds] for p in pattern.pieces
        ]
    print(f"random patterns: {count} with {total} rounds; {wrong} read wrong, {missed} faults missed")
    print(f"written out in the other terms and read back: {count}; {lost} not the same")


def fuzz(count: int) -> None:
    """Hostile texts: none may raise, none may lose a word."""
    rng = random.Random(0)
    raised = lost = 0
    worst = 0.0
    for _ in range(count):
        text = hostile_text(rng)
        begin = time.process_time()
        try:
            lost += unaccounted(read(text)) != []
        except Exception as error:  # the bench counts what must never happen
            raised += 1
            print(f"raised {error!r} on {text[:200]!r}")
        worst = max(worst, time.process_time() - begin)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"hostile texts: {count}; {raised} raised, {lost} lost words")
    print(f"the slowest of them took {worst * 1000:.0f} ms; {memory} MB at most")


def main() -> None:
    """All of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a hundredth of the random work")
    share = 100 if parser.parse_args().quick else 1
    assert CORPUS.is_dir(), "the bench runs in a checkout"
    speed()
    growth()
    long_lines()
    start()
    random_patterns(10_000 // share)
    fuzz(100_000 // share)


if __name__ == "__main__":
    main()
