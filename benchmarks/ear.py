"""How well the ear hears: one table, printed again by anybody.

    python -m benchmarks.ear                          the main table: test voices, every condition
    python -m benchmarks.ear --voices wild            accents far from what the models know
    python -m benchmarks.ear --rivals                 side by side with other recognisers
    python -m benchmarks.ear --talk 60                false alarms in so many minutes of other talk
    python -m benchmarks.ear --knocks 60              and of knocks, beeps, coughs and music
    python -m benchmarks.ear --talk 60 --attention W  the same with the attention word W
    python -m benchmarks.ear --human                  recordings of people, from Debian's packages
    python -m benchmarks.ear --cost                   time after the pause, idle load, memory

`--sentences N` takes N sentences a condition (300). Recordings are made once and kept in benchmarks/.cache, outcomes
too: a run that was stopped goes on where it was, and starts anew where the ear or the phrases have changed.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np

from benchmarks import ear_cost, ear_human
from benchmarks.ear_background import PIECE_MINUTES, Kind, PieceOfNoise, alarms_in
from benchmarks.ear_items import Item, items, phrasebook
from benchmarks.ear_rivals import compared
from benchmarks.ear_rooms import CONDITIONS
from benchmarks.ear_run import Notebook, Outcome, Trial, ear, fingerprint, run, sampled
from benchmarks.ear_voices import Group, voices
from companion.phrases.phrasebook import Phrasebook

RESULTS = ("right", "asked", "ignored", "wrong")


def main() -> None:
    """Print the table that was asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--voices", choices=("test", "wild", "tune"), default="test")
    parser.add_argument("--sentences", type=int, default=300)
    parser.add_argument("--conditions", nargs="*", default=[c.name for c in CONDITIONS], metavar="NAME")
    parser.add_argument("--processes", type=int, default=2, help="of all but --human and --cost")
    parser.add_argument("--rivals", action="store_true")
    parser.add_argument("--talk", type=float, default=0, metavar="MINUTES")
    parser.add_argument("--knocks", type=float, default=0, metavar="MINUTES")
    parser.add_argument("--attention", default="", metavar="WORD", help="in talk and knocks, with this attention word")
    parser.add_argument("--human", action="store_true")
    parser.add_argument("--cost", action="store_true")
    options = parser.parse_args()
    if options.talk or options.knocks:
        false_alarms(options.talk, options.knocks, options.attention, options.processes)
    elif options.human:
        ear_human.report(*ear())
    elif options.cost:
        ear_cost.report(*ear())
    else:
        book = phrasebook()
        conditions = [c for c in CONDITIONS if c.name in options.conditions]
        trials = list(
            sampled(
                _kept(items(book), options.voices),
                voices(options.voices),
                conditions,
                options.sentences,
                tuning=options.voices == "tune",
            )
        )
        if options.rivals:
            compare(trials, options.processes)
        else:
            table(trials, book, options.voices, options.processes)


def _kept(found: Sequence[Item], group: Group) -> list[Item]:
    """The sentences a group of voices says: the tuning half, or the half that nothing was tuned on."""
    return [item for item in found if item.for_tuning == (group == "tune")]


def table(trials: Sequence[Trial], book: Phrasebook, group: Group, processes: int) -> None:
    """Right, asked back, ignored and wrong but acted on, by condition, by voice, and for reports of numbers."""
    notebook = Notebook(f"{group}-{fingerprint()}")
    outcomes = list(run(trials, book, notebook, processes))
    print(f"{len(outcomes)} recordings, {group} voices; 95 % confidence intervals")
    _print("condition", outcomes, [(c.name, lambda o, c=c: o.condition == c.name) for c in CONDITIONS])
    _print("voice, all conditions", outcomes, [(v.name, lambda o, v=v: o.voice == v.name) for v in voices(group)])
    _print(
        "noise at 5 and 10 dB",
        outcomes,
        [(n, lambda o, n=n: o.noise == n and "20" not in o.condition) for n in ("pink", "hum", "music", "babble")],
    )
    _print(
        "sentence, all conditions",
        outcomes,
        [
            ("reports of a number", lambda o: o.text.startswith("i have done")),
            ("everything else", lambda o: not o.text.startswith("i have done")),
        ],
    )


def compare(trials: Sequence[Trial], processes: int) -> None:
    """How often the best reading is right: the ear and its rivals on the same stretches of sound."""
    right: Counter[tuple[str, str]] = Counter()
    count: Counter[str] = Counter()
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        for trial, found in zip(trials, pool.map(compared, trials, chunksize=4), strict=True):
            count[trial.condition.name] += 1
            for name, is_right in found.items():
                right[name, trial.condition.name] += is_right
    names = dict.fromkeys(name for name, _ in right)
    print(f"best reading right, of {sum(count.values())} recordings")
    print(f"{'condition':24}" + "".join(f"{name:>28}" for name in names))
    for condition, n in count.items():
        print(f"{condition:24}" + "".join(f"{100 * right[name, condition] / n:26.1f} %" for name in names))


def false_alarms(talk_minutes: float, knock_minutes: float, attention: str, processes: int) -> None:
    """What is done by mistake in other talk and in noises, through the real streaming path."""
    notebook = Notebook("-".join(filter(None, ("alarms", fingerprint(judging=True), attention))))
    minutes: dict[Kind, float] = {"other talk": talk_minutes, "knocks, beeps, coughs, music": knock_minutes}
    pieces = [
        PieceOfNoise(kind, seed, attention)
        for kind in minutes
        for seed in range(math.ceil(minutes[kind] / PIECE_MINUTES))
    ]
    new = [piece for piece in pieces if notebook.find(piece.key) is None]
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        for piece, found in zip(new, pool.map(alarms_in, new), strict=True):
            notebook.write({"key": piece.key, "alarms": [(a.decision, a.heard, a.free, a.score) for a in found]})
    for kind in dict.fromkeys(piece.kind for piece in pieces):
        decisions: Counter[str] = Counter()
        for piece in (piece for piece in pieces if piece.kind == kind):
            kept = notebook.find(piece.key)
            assert kept is not None
            for decision, heard, free, score in kept["alarms"]:
                decisions[decision] += 1
                if decision != "refuse":
                    print(f"  {decision}: {heard!r} for {free!r}, score {score}")
        print(
            f"{kind}, {minutes[kind]:.0f} minutes: acted on {decisions['act']}, asked {decisions['ask']}, "
            f"said not understood {decisions['refuse']}"
        )


def _print(title: str, outcomes: Sequence[Outcome], rows: Iterable[tuple[str, object]]) -> None:
    print(f"\n{title:28}{'n':>6}" + "".join(f"{name:>20}" for name in RESULTS) + f"{'best reading right':>22}")
    for name, belongs in rows:
        chosen = [outcome for outcome in outcomes if belongs(outcome)]  # type: ignore[operator]
        if chosen:
            print("".join(_cells(name, chosen)))


def _cells(name: str, chosen: Sequence[Outcome]) -> Iterator[str]:
    n = len(chosen)
    yield f"{name:28}{n:6}"
    for result in RESULTS:
        low, high = interval(sum(outcome.result == result for outcome in chosen), n)
        share = 100 * sum(outcome.result == result for outcome in chosen) / n
        yield f"{share:6.1f} ({low:5.1f}-{high:5.1f})"
    yield f"{100 * sum(outcome.read_right for outcome in chosen) / n:22.1f}"


def interval(hits: int, n: int) -> tuple[float, float]:
    """The 95 % confidence interval of a share, in percent (Wilson 1927)."""
    z = 1.96
    share = hits / n
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * float(np.sqrt(share * (1 - share) / n + z * z / (4 * n * n))) / (1 + z * z / n)
    return 100 * max(0.0, middle - half), 100 * min(1.0, middle + half)


if __name__ == "__main__":
    main()
