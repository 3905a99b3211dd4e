"""A second, simple model of the place, to hold the real one against: every round a plain list of single stitches.

It shares no code with the place: no journal, no layout, no prefix sums. Positions are found by counting along lists,
undo is a stack of copies. `Plan` describes a random pattern, `pattern_of` builds it for the real one.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from random import Random

from companion.pattern.model import Note, Pattern, Piece, Repeat, Round, Span, Step, Work
from companion.place.answers import Answer, NextStitch, Progress, Repeats, RoundsLeft, StitchesLeft, Total

SPAN = Span(1, 1, 1, 2)


@dataclass(frozen=True)
class PlanRound:
    """`before` plain stitches, `times` repeats of `plain` stitches and one shaping (0 none, 1 up, -1 down), `after`.

    `last_of` rounds in a range are alike. `hold` puts a turning point after the last of them.
    """

    before: int
    times: int
    plain: int
    shaping: int
    after: int
    in_range: int
    hold: bool


@dataclass(frozen=True)
class PlanPiece:
    """Rounds, worked `make` times."""

    rounds: tuple[PlanRound, ...]
    make: int


Plan = tuple[PlanPiece, ...]


def random_plan(random: Random) -> Plan:
    """Up to three pieces of up to five entries."""
    return tuple(
        PlanPiece(
            tuple(
                PlanRound(
                    before=random.choice((0, 0, 2)),
                    times=random.choice((0, 1, 3, 6)),
                    plain=random.randrange(4),
                    shaping=random.choice((-1, 0, 1)),
                    after=random.choice((0, 0, 3)) if random.random() < 0.8 else 7,
                    in_range=random.choice((1, 1, 1, 3)),
                    hold=random.random() < 0.15,
                )
                for _ in range(random.randint(1, 5))
            ),
            random.choice((1, 1, 2, 3)),
        )
        for _ in range(random.randint(1, 3))
    )


# --- the pattern, for the real place ------------------------------------------------------------------------------


def pattern_of(plan: Plan) -> Pattern:
    """The plan as a read pattern."""
    return Pattern("Plan", "US", tuple(_piece(i, piece) for i, piece in enumerate(plan)), (), "plan")


def _piece(index: int, plan: PlanPiece) -> Piece:
    number = 1
    rounds: list[Round] = []
    for entry in plan.rounds:
        last = number + entry.in_range - 1
        rounds.append(_round(entry, number, last))
        number = last + 1
    return Piece(f"piece {index + 1}", plan.make, tuple(rounds), SPAN)


def _round(plan: PlanRound, first: int, last: int) -> Round:
    plain = Work("sc", 1)
    shaped = Work("sc", 1, in_one=2) if plan.shaping > 0 else Work("sc", 1, together=2)
    body: tuple[Work, ...] = (Work("sc", plan.plain),) if plan.plain else ()
    body += (shaped,) if plan.shaping else ()
    steps = [Step(plain, 1, 1, 0) for _ in range(plan.before)]
    run = 1
    for time in range(1, plan.times + 1):
        for leaf in body:
            once = Step(leaf, leaf.together, leaf.in_one, run, time, plan.times, 0)
            steps += [once] * (leaf.count if leaf is not shaped else 1)
            run += 1
    steps += [Step(plain, 1, 1, run) for _ in range(plan.after)]
    total = sum(step.gives for step in steps)
    notes = (Note("stuffing", f"Stuff it after {last}."),) if plan.hold else ()
    text = f"Rnd {first}"
    instructions = (Repeat(plan.times, body),) if plan.times and body else ()
    return Round(
        text, "round", first, last, instructions, tuple(steps), 0, total, None, "worked_out", text, SPAN, notes=notes
    )


# --- the model ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Stitch:
    """One stitch of a round: the motion that makes it, its run of equal work, and its repeat (0 for none)."""

    motion: int
    run: str
    repeat: int
    repeats: int


def stitches_of(plan: PlanRound) -> list[Stitch]:
    """The round as single stitches."""
    made = [Stitch(i, "before", 0, 0) for i in range(plan.before)]
    motion = plan.before
    for time in range(1, plan.times + 1):
        for _ in range(plan.plain):
            made.append(Stitch(motion, f"plain {time}", time, plan.times))
            motion += 1
        if plan.shaping:
            made += [Stitch(motion, f"shaping {time}", time, plan.times)] * (2 if plan.shaping > 0 else 1)
            motion += 1
    made += [Stitch(motion + i, "after", 0, 0) for i in range(plan.after)]
    return made


@dataclass
class State:
    """Where the model is. `places` are those of all parts; `full` tells that a held round is over."""

    part: int
    places: list[tuple[int, int]]
    finished: set[int]
    answered: set[tuple[int, int]]
    held: bool = False
    all_done: bool = False


class Model:
    """The place over lists of single stitches."""

    def __init__(self, plan: Plan) -> None:
        self.parts: list[list[list[Stitch]]] = []
        self.names: list[tuple[int, int]] = []
        self.holds: set[tuple[int, int]] = set()
        for index, piece in enumerate(plan):
            for number in range(1, piece.make + 1):
                rounds: list[list[Stitch]] = []
                for entry in piece.rounds:
                    rounds += [stitches_of(entry)] * entry.in_range
                    if entry.hold:
                        self.holds.add((len(self.parts), len(rounds) - 1))
                self.parts.append(rounds)
                self.names.append((index + 1, number))
        self.state = State(0, [(0, 0)] * len(self.parts), set(), set())
        self.grain = "round"
        self.past: list[State] = []
        self.future: list[State] = []
        self.rip_to: tuple[int, int] | None = None

    # --- looking

    @property
    def nth(self) -> int:
        return self.state.places[self.state.part][0]

    @property
    def made(self) -> int:
        return self.state.places[self.state.part][1]

    @property
    def rounds(self) -> list[list[Stitch]]:
        return self.parts[self.state.part]

    @property
    def round(self) -> list[Stitch]:
        return self.rounds[self.nth]

    def view(self) -> dict[str, int | str | None]:
        """The place as JSON has it."""
        piece, number = self.names[self.state.part]
        repeat, repeats = self.repeat()
        total = len(self.round)
        return {
            "piece": f"piece {piece}",
            "copy": number,
            "round": self.nth + 1,
            "stitch": self.made,
            "stitches": total,
            "left": total - self.made,
            "repeat": repeat,
            "repeats": repeats,
        }

    def repeat(self) -> tuple[int | None, int | None]:
        if self.made == len(self.round):
            within = [s for s in self.round if s.repeat]
            return (within[-1].repeat, within[-1].repeats) if within else (None, None)
        here = self.round[self.made]
        return (here.repeat, here.repeats) if here.repeat else (None, None)

    def left_in_repeat(self) -> int | None:
        if self.made == len(self.round) or not self.round[self.made].repeat:
            return None
        return sum(s.repeat == self.round[self.made].repeat for s in self.round[self.made :])

    def left_in_part(self, part: int) -> int:
        if part in self.state.finished:
            return 0
        nth, made = self.state.places[part]
        rounds = self.parts[part]
        return len(rounds[nth]) - made + sum(len(r) for r in rounds[nth + 1 :])

    def made_in_all(self) -> int:
        whole = sum(len(r) for rounds in self.parts for r in rounds)
        return whole - sum(self.left_in_part(part) for part in range(len(self.parts)))

    def totals(self) -> tuple[int | None, int, int | None]:
        """The totals of the round before, this one, and the one after, within the part."""
        before = len(self.rounds[self.nth - 1]) if self.nth else None
        after = len(self.rounds[self.nth + 1]) if self.nth + 1 < len(self.rounds) else None
        return before, len(self.round), after

    def next_motion(self) -> tuple[int, int] | None:
        """The first and last stitch of the motion at hand that are still to make, from 1."""
        if self.made == len(self.round):
            return None
        motion = self.round[self.made].motion
        return self.made + 1, max(i for i, s in enumerate(self.round) if s.motion == motion) + 1

    def stretches(self) -> list[tuple[int, int]]:
        """The round cut by the grain: (start, end) in stitches."""
        found = []
        start = 0
        for _, group in groupby(self.round, key=lambda s: s.run if self.grain == "stitch" else s.repeat):
            end = start + len(list(group))
            found.append((start, end))
            start = end
        return found

    def repeats_left(self) -> int | None:
        repeat, repeats = self.repeat()
        if repeat is None or repeats is None:
            return None
        return 0 if self.made == len(self.round) else repeats - repeat + 1

    # --- moving

    def do(self, name: str, slots: Mapping[str, int | str]) -> bool:
        """Does one command; False where it is refused. Talk and questions change nothing."""
        rip_to, self.rip_to = self.rip_to, None
        if name == "yes":
            return rip_to is not None and self._change(lambda s: self._rip(s, rip_to))
        if name == "undo":
            return self._swap(self.past, self.future)
        if name == "redo":
            return self._swap(self.future, self.past)
        handler = getattr(self, f"_do_{name}", None)
        return True if handler is None else bool(handler(**slots))

    def _swap(self, source: list[State], target: list[State]) -> bool:
        if not source:
            return False
        target.append(self.state)
        self.state = source.pop()
        return True

    def _change(self, how: Callable[[State], None]) -> bool:
        before = self.state
        after = copy.deepcopy(before)
        how(after)
        self.past.append(before)
        self.future.clear()
        self.state = after
        return True

    def _do_grain_stitch(self) -> bool:
        self.grain = "stitch"
        return True

    def _do_grain_repeat(self) -> bool:
        self.grain = "repeat"
        return True

    def _do_grain_round(self) -> bool:
        self.grain = "round"
        return True

    def _do_beat(self) -> bool:
        return self.made < len(self.round) and self._told(self.made + 1)

    def _do_next(self) -> bool:
        if self.grain != "round":
            end = next((end for start, end in self.stretches() if start <= self.made < end), None)
            if end is not None and end < len(self.round):
                return self._told(end)
        return self._do_next_round()

    def _do_next_round(self) -> bool:
        if self.state.all_done:
            return False
        spot = (self.state.part, self.nth)
        if spot in self.holds and spot not in self.state.answered:
            if self.state.held:
                return True

            def hold(state: State) -> None:
                state.places[state.part] = (self.nth, len(self.round))
                state.held = True

            return self._change(hold)
        return self._change(self._advance)

    def _advance(self, state: State) -> None:
        part = state.part
        nth = state.places[part][0]
        state.held = False
        if nth + 1 < len(self.parts[part]):
            state.places[part] = (nth + 1, 0)
            state.finished.discard(part)
            return
        state.places[part] = (nth, len(self.parts[part][nth]))
        state.finished.add(part)
        order = [*range(part + 1, len(self.parts)), *range(part)]
        waiting = [p for p in order if p not in state.finished]
        if waiting:
            state.part = waiting[0]
        else:
            state.all_done = True

    def _do_done_that(self) -> bool:
        if not self.state.held:
            return False

        def release(state: State) -> None:
            state.answered.add((state.part, state.places[state.part][0]))
            self._advance(state)

        return self._change(release)

    def _do_have_done(self, stitches: int) -> bool:
        return self._told(stitches)

    def _do_more(self, stitches: int) -> bool:
        return self._told(self.made + stitches)

    def _told(self, made: int) -> bool:
        if made > len(self.round):
            return False

        def tell(state: State) -> None:
            part, nth = state.part, state.places[state.part][0]
            full = made == len(self.parts[part][nth])
            state.places[part] = (nth, made)
            state.held = state.held and full
            state.all_done = state.all_done and full
            if not full:
                state.finished.discard(part)

        return self._change(tell)

    def _do_next_stitch(self) -> bool:
        motion = self.next_motion()
        return self._do_next_round() if motion is None else self._told(motion[1])

    def _do_finished_repeat(self) -> bool:
        left = self.left_in_repeat()
        return False if left is None else self._told(self.made + left)

    def _do_back(self) -> bool:
        if self.grain != "round" and not self.state.all_done:
            before = [start for start, end in self.stretches() if end <= self.made]
            if before:
                return self._told(before[-1])
        return self._do_previous_round()

    def _do_previous_round(self) -> bool:
        if self.state.all_done:
            return self._restart(self.state.part, self.nth)
        if self.nth:
            return self._restart(self.state.part, self.nth - 1)
        before = self.state.part - 1
        if before >= 0 and before in self.state.finished:
            return self._restart(before, len(self.parts[before]) - 1)
        return False

    def _restart(self, part: int, nth: int) -> bool:
        def move(state: State) -> None:
            state.part = part
            state.places[part] = (nth, 0)
            state.finished.discard(part)
            state.held = False
            state.all_done = False

        return self._change(move)

    def _do_back_rounds(self, rounds: int) -> bool:
        return rounds <= self.nth and self._restart(self.state.part, self.nth - rounds)

    def _do_go_to_round(self, round: int) -> bool:
        if not 1 <= round <= len(self.rounds):
            return False
        if round - 1 == self.nth + 1 and not self.state.all_done:
            return self._do_next_round()
        return self._restart(self.state.part, round - 1)

    def _do_go_to_copy(self, copy: int) -> bool:
        piece, _ = self.names[self.state.part]
        if (piece, copy) not in self.names:
            return False
        part = self.names.index((piece, copy))
        if part == self.state.part:
            return True

        def move(state: State) -> None:
            state.part = part
            state.held = False
            state.all_done = False

        return self._change(move)

    def _do_rip_back(self, rounds: int) -> bool:
        if rounds > self.nth:
            return False
        self.rip_to = (self.state.part, self.nth - rounds)
        return True

    def _rip(self, state: State, to: tuple[int, int]) -> None:
        part, nth = to
        state.places[part] = (nth, 0)
        state.finished.discard(part)
        state.held = False
        state.all_done = False
        state.answered = {(p, n) for p, n in state.answered if p != part or n < nth}


# --- answers --------------------------------------------------------------------------------------------------------


def differences(model: Model, ask: Callable[[str], Answer]) -> list[str]:
    """Asks the real place every question the model can answer; returns those with another answer."""
    before, total, after = model.totals()
    parts = range(len(model.parts))
    whole = sum(len(r) for rounds in model.parts for r in rounds)
    expected: dict[str, object] = {
        "stitches_left": total - model.made,
        "stitches_left_repeat": model.left_in_repeat(),
        "stitches_left_piece": model.left_in_part(model.state.part),
        "stitches_left_project": sum(model.left_in_part(part) for part in parts),
        "rounds_left": len(model.rounds) - model.nth - 1,
        "repeats_left": model.repeats_left(),
        "which_repeat": model.repeat()[0],
        "total_last": before,
        "total_round": total,
        "total_next": after,
        "what_stitch": model.next_motion(),
        "progress": (model.made_in_all(), whole, model.made_in_all() * 100 // whole if whole else None),
    }
    return [f"{name}: {ask(name)}, not {value}" for name, value in expected.items() if _number(ask(name)) != value]


def _number(answer: Answer) -> object:
    match answer:
        case StitchesLeft() | RoundsLeft():
            return answer.left
        case Repeats():
            return answer.left if answer.asked == "repeats_left" else answer.repeat
        case Total():
            return answer.stitches
        case NextStitch():
            return (answer.run.first, answer.run.last) if answer.run else None
        case Progress():
            return answer.made, answer.total, answer.percent
        case _:
            return None  # refused, or there is no such round


# --- random sessions ----------------------------------------------------------------------------------------------

COMMANDS: Sequence[tuple[str, str | None, int]] = (
    ("next", None, 0),
    ("next", None, 0),
    ("next_round", None, 0),
    ("next_stitch", None, 0),
    ("grain_stitch", None, 0),
    ("grain_repeat", None, 0),
    ("grain_round", None, 0),
    ("beat", None, 0),
    ("beat", None, 0),
    ("have_done", "stitches", 30),
    ("have_done", "stitches", 12),
    ("more", "stitches", 6),
    ("finished_repeat", None, 0),
    ("back", None, 0),
    ("back", None, 0),
    ("previous_round", None, 0),
    ("back_rounds", "rounds", 4),
    ("go_to_round", "round", 8),
    ("go_to_copy", "copy", 3),
    ("rip_back", "rounds", 4),
    ("yes", None, 0),
    ("done_that", None, 0),
    ("undo", None, 0),
    ("redo", None, 0),
    ("stitches_left", None, 0),
)
"""What is said at random: the command, its slot, and the highest number in it."""
