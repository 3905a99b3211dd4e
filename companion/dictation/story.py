"""The draft as a fold over what was said, with what can be taken back and done again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.dictation.commands import COMMANDS, perform
from companion.dictation.corrections import Corrected, corrected
from companion.dictation.draft import Draft
from companion.dictation.result import Result, Slots, refused

_ANSWERS = ("choose_all", "choose_last", "first_chain", "chain_counts")
"""What answers a question about the line before it, and goes with that line."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something said that changed the draft.

    `before` is the draft to come back to when it is taken back. `base`, `name` and `slots` say what is in force: that
    command on that draft. They differ from what was said where it was a correction.
    """

    before: Draft
    base: Draft
    name: str
    slots: Slots
    after: Draft


@dataclass(frozen=True, slots=True)
class Story:
    """The draft and its steps. `taken_back` are the steps that can be done again, the next one last."""

    draft: Draft
    steps: tuple[Step, ...] = ()
    taken_back: tuple[Step, ...] = ()

    def told(self, name: str, slots: Slots) -> tuple[Story, Result]:
        """The story after a command, and what became of it. A refused command leaves the story as it is."""
        match name:
            case "scratch":
                return self._scratched()
            case "redo":
                return self._again()
            case "correct":
                return self._corrected(slots)
            case "stitches_instead":
                return self._instead(slots)
        result = perform(self.draft, name, slots)
        return self._with(result, self.draft, name, slots), result

    def _with(self, result: Result, base: Draft, name: str, slots: Slots) -> Story:
        if result.draft is None or result.draft == self.draft:
            return self
        step = Step(self.draft, base, name, dict(slots), result.draft)
        return Story(result.draft, (*self.steps, step))

    def _scratched(self) -> tuple[Story, Result]:
        if not self.steps:
            return self, refused("nothing_to_scratch")
        *others, last = self.steps
        story = Story(last.before, tuple(others), (*self.taken_back, last))
        return story, Result(last.before, "scratched")

    def _again(self) -> tuple[Story, Result]:
        if not self.taken_back:
            return self, refused("nothing_to_redo")
        *others, step = self.taken_back
        return Story(step.after, (*self.steps, step), tuple(others)), Result(step.after, "redone")

    def _instead(self, slots: Slots) -> tuple[Story, Result]:
        said = [step for step in self.steps if step.name not in _ANSWERS]
        step = said[-1] if said else None
        if step is None or step.name != "stitches":
            return self, refused("nothing_to_correct")
        result = perform(step.base, "stitches", slots)
        return self._with(result, step.base, "stitches", slots), result

    def _corrected(self, slots: Slots) -> tuple[Story, Result]:
        """The number or stitch changed in the last thing said that has one; "next round" after it is said again."""
        at = len(self.steps) - 1
        while at >= 0 and self.steps[at].name in ("next_round", "choose_all", "choose_last", "chain_counts"):
            at -= 1
        if at < 0:
            return self, refused("nothing_to_correct")
        step = self.steps[at]
        found = corrected(step.name, step.slots, slots)
        if not isinstance(found, Corrected):
            return self, found
        result = perform(step.base, step.name, found.slots)
        story = self._with(result, step.base, step.name, found.slots)
        for later in self.steps[at + 1 :]:
            if result.draft is not None and later.name in COMMANDS and _still(later.name, result.draft):
                draft = perform(result.draft, later.name, later.slots).draft
                if draft is not None:
                    result = replace(result, draft=draft)
                    story = replace(
                        story, draft=draft, steps=(*story.steps[:-1], replace(story.steps[-1], after=draft))
                    )
        return story, result


def _still(name: str, draft: Draft) -> bool:
    """True where a later step still makes sense: an answer only while there is a question."""
    return bool(draft.question) == name.startswith("choose")
