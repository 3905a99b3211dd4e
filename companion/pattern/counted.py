"""One entry of a piece while it is finished: what it stands on the page, and what its working-out gave."""

from __future__ import annotations

from dataclasses import dataclass

from companion.pattern.model import Total
from companion.pattern.page import RoundDraft
from companion.pattern.shared import Stretch
from companion.pattern.worked import Worked


@dataclass(frozen=True, slots=True)
class Counted:
    """A round as found on the page and worked out, on its way to an entry of its piece.

    `stretch` is the text it follows, its own or that of the round it repeats; `declared` the total printed for it,
    `first` and `last` its numbers, `following` the next round of the page. `listed`: one of a range, but not its last.
    `second`: how a range that fits only once comes out the second time. `again`: it repeats a round that begins in a
    ring or on a chain, and goes on with what is there instead.
    """

    draft: RoundDraft
    stretch: Stretch
    worked: Worked
    declared: Total | None
    first: int | None = None
    last: int | None = None
    following: RoundDraft | None = None
    listed: bool = False
    second: Worked | None = None
    again: bool = False

    @property
    def printed(self) -> int | None:
        """The stitches printed for it."""
        return self.declared.stitches if self.declared is not None else None

    @property
    def outset(self) -> int:
        """Where what may be wrong with it stands: its own words, also where they name another round."""
        return self.draft.body if self.repeats_another else self.stretch.start

    @property
    def repeats_another(self) -> bool:
        """Whether it follows the words of another round."""
        return self.stretch.start != self.draft.body
