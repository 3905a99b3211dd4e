"""Chain spaces counted: those a round makes, by the number of their chains, against those that are printed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from companion.pattern.model import Chain, InOne, Instruction, Repeat
from companion.pattern.worked import Worked


def spaces_disagree(worked: Worked) -> tuple[int, int, int] | None:
    """The first printed count of chain spaces that is wrong: (printed, made, chains in each or 0). None: all is right.

    Right is a printed sum that agrees with the sum made, or each printed count with those of its length: patterns close
    a round with a stitch in place of the last chains, and some print only the spaces at the corners.
    """
    printed = worked.printed_spaces
    if not printed or worked.gives is None or sum(n for n, _ in printed) == worked.chain_spaces:
        return None
    made = _by_length(worked.instructions)
    at_the_start = worked.chain_spaces - made.total()  # of a starting chain, which is no chain between stitches
    for n, length in printed:
        of_length = made[length] if length else worked.chain_spaces
        if n != of_length and (length or n != worked.chains):  # "(17 sc, 4 ch)" may count the chains
            alone = len(printed) == 1 and at_the_start > 0
            return (n, worked.chain_spaces, 0) if alone else (n, of_length, length)
    return None


def _by_length(items: Sequence[Instruction]) -> Counter[int]:
    """How many chain spaces of each length the instructions make, as far as chains between stitches make them."""
    made: Counter[int] = Counter()
    for item in items:
        if isinstance(item, Chain) and item.role == "space":
            made[item.count] += 1
        elif isinstance(item, Repeat | InOne):
            times = item.times if isinstance(item, Repeat) else item.count
            for length, n in _by_length(item.body).items():
                made[length] += n * times
    return made
