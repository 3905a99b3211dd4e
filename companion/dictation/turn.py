"""One turn of a dictation, as it is shown and printed."""

from __future__ import annotations

from dataclasses import dataclass

from companion import turn


@dataclass(frozen=True, slots=True)
class Turn(turn.Turn):
    """A turn, and the round that is written.

    `piece` and `round` are the present ones, `stitches` the worked-out total of the round so far: 0 where it is empty,
    None where it is not known.
    """

    piece: str | None
    round: int | None
    stitches: int | None

    def stand(self) -> dict[str, object]:
        """The piece, the round and its total."""
        return {"piece": self.piece, "round": self.round, "stitches": self.stitches}
