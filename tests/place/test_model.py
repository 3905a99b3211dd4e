"""The place against a second model of single stitches: after any commands, the same place and the same answers."""

from __future__ import annotations

import tempfile
from pathlib import Path
from random import Random

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from benchmarks.place_model import COMMANDS, Model, differences, pattern_of, random_plan
from companion.place.work import Work

MEMORY = Path("/dev/shm")
FOLDER = str(MEMORY) if MEMORY.is_dir() else None


class PlaceMachine(RuleBasedStateMachine):
    """Commands go to both; every rule ends with the two agreeing."""

    work: Work

    @initialize(seed=st.integers(0, 10_000))
    def begin(self, seed: int) -> None:
        plan = random_plan(Random(seed))
        self.pattern = pattern_of(plan)
        self.model = Model(plan)
        self.folder = tempfile.TemporaryDirectory(dir=FOLDER)
        self.now = 1_700_000_000.0
        self.open()

    def open(self) -> None:
        self.work = Work.open(self.pattern, Path(self.folder.name), clock=lambda: self.now)

    @rule(said=st.sampled_from(COMMANDS), number=st.integers(1, 200))
    def say(self, said: tuple[str, str | None, int], number: int) -> None:
        name, slot, most = said
        slots = {slot: 1 + number % most} if slot else {}
        outcome = self.work.handle(name, slots)
        assert outcome.accepted is self.model.do(name, slots), (name, slots, outcome.answer)

    @rule()
    @precondition(lambda self: hasattr(self, "model"))
    def end_and_open_again(self) -> None:
        self.work.close()
        self.model.rip_to = None
        self.open()

    @invariant()
    @precondition(lambda self: hasattr(self, "model"))
    def same_place(self) -> None:
        assert self.work.place.as_json() == self.model.view()
        assert (self.work.state == "held") is (self.model.state.held and self.model.rip_to is None)

    @rule()
    @precondition(lambda self: hasattr(self, "model"))
    def same_answers(self) -> None:
        self.model.rip_to = None
        assert differences(self.model, lambda name: self.work.handle(name).answer) == []

    def teardown(self) -> None:
        if hasattr(self, "model"):
            self.work.close()
            self.folder.cleanup()


PlaceMachine.TestCase.settings = settings(
    max_examples=40, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
TestPlace = PlaceMachine.TestCase
