"""Instructions read aloud, the way a good reader does: a round, a repeat, or a stretch of equal stitches at a time."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Round, Skip, Terms, Unread, Work
from companion.wording.motions import Motions, stitch_kinds
from companion.wording.numbers import cardinal, counted, ordinal, span, times
from companion.wording.numbers import stitches as count_of_stitches
from companion.wording.spoken import Speakable, sentence

_MAGIC = re.compile(r"magic|adjustable|\bm[rc]\b", re.IGNORECASE)
_OWN_SENTENCE = {"join", "turn", "marker", "close", "fasten_off", "leave", "note"}
_KIND = {"round": "round", "row": "row"}
_AROUND = {"round": "around", "row": "across", "step": "along"}


def flat(instructions: Sequence[Instruction]) -> tuple[Instruction, ...]:
    """The same work in the fewest words: "(inc) x 6" is six increases, "sc, 19 sc" is twenty single crochet."""
    out: list[Instruction] = []
    for item in instructions:
        if isinstance(item, Repeat):
            body = flat(item.body)
            only = body[0] if len(body) == 1 else None
            if item.times == 1:
                out.extend(body)
            elif isinstance(only, Work | InOne | Skip) and only.count == 1:
                out.append(replace(only, count=item.times))
            else:
                out.append(replace(item, body=body))
        else:
            out.append(item)
    return tuple(_merged(out))


def _merged(instructions: Sequence[Instruction]) -> Iterator[Instruction]:
    """Neighbours that are the same motion, taken together."""
    held: Instruction | None = None
    for item in instructions:
        if isinstance(held, Work) and isinstance(item, Work) and _alike(held, item):
            held = replace(held, count=held.count + item.count)
            continue
        if held is not None:
            yield held
        held = item
    if held is not None:
        yield held


def without_total(entry: Round) -> str:
    """The round as written, without the total at its end."""
    printed = entry.declared.text if entry.declared else ""
    text = entry.text.rstrip()
    return text.removesuffix(printed).rstrip(" ,.;:-") if printed and text.endswith(printed) else text


def _founds(item: Instruction) -> bool:
    return isinstance(item, Chain) and item.role == "foundation"


def _alike(held: Work, item: Work) -> bool:
    """True for the same motion again; where the first goes into a chain from the hook, the others follow it."""
    return replace(held, count=0, from_hook=0) == replace(item, count=0)


def first_place(work: Work, entry: Round) -> str:
    """Where the first stitches go: "in a magic ring", "in the second chain from the hook", "" where it is not told."""
    if work.from_hook:
        return f"in the {ordinal(work.from_hook)} chain from the hook"
    return "in a magic ring" if work.into == "ring" and _MAGIC.search(entry.text) else ""


@dataclass(frozen=True, slots=True)
class Context:
    """What the words for one instruction depend on, beside the instruction: its round's stitches and loops."""

    kinds: frozenset[str]
    loops: bool
    """True where "in the back loop only" is said with each stretch, False where it is said for the whole round."""
    entry: Round
    """The round itself."""
    full: bool
    """True to say all, False to leave out what can be told from the rest."""


class Instructions:
    """Reads rounds, repeats and stretches aloud in one set of terms."""

    def __init__(self, terms: Terms, speak: Callable[[str], str] | None = None) -> None:
        self.speak: Callable[[str], str] = speak or Speakable(terms)
        self.motions = Motions(terms, self.speak)

    # --- a whole round -------------------------------------------------------------------------------------------

    def round(self, entry: Round, nth: int | None = None, *, full: bool = True, plain_total: bool = False) -> str:
        """The round as sentences: its name, its work, its total.

        `nth` picks one round of a range (1 the first); None reads a range as one: "Rounds nine to eleven, three rounds
        alike". `full` False leaves out what can be told from the rest. `plain_total` leaves out that the pattern
        prints another total, where that is said elsewhere.
        """
        work, told = self._work(entry, full)
        total = "" if told else self.total(entry, full=full, plain=plain_total)
        return " ".join(filter(None, [sentence(self.name(entry, nth) + self.manner(entry)), work, total]))

    def work(self, entry: Round) -> str:
        """What the hands do in the round, as sentences, without its name; a plain round tells its total too."""
        return " ".join(filter(None, [sentence(self.manner(entry).lstrip(", ")), self._work(entry, full=True)[0]]))

    def manner(self, entry: Round) -> str:
        """What goes for the whole round, to follow its name: ", in the back loops only, in green"."""
        work = flat(entry.instructions)
        loop = common_loop(work)
        manner = f", in the {loop} loops only" if loop else ""
        if entry.into and not told_within(entry):
            manner += f", worked into {self.speak(entry.into)}"
        if work and isinstance(work[0], Act) and work[0].kind == "colour":
            manner += f", in {self.speak(work[0].text)}"
        return manner

    def _work(self, entry: Round, full: bool) -> tuple[str, bool]:
        """The sentences between name and total, and whether they tell the total already."""
        work = flat(entry.instructions)
        if not work and entry.text:
            return sentence(f"the pattern says: {self.speak(without_total(entry))}"), False
        if work and isinstance(work[0], Act) and work[0].kind == "colour":
            work = work[1:]  # said with the name
        loops = not common_loop(work)
        context = Context(stitch_kinds(work), loops=loops, entry=entry, full=full)
        plain = self._plain(entry, work, context)
        said = self._sentences(work, context, plain)
        if entry.suggested:
            said.insert(0, f"{sentence(f'the pattern says: {self.speak(entry.suggested)}')} Here is a suggestion.")
        return " ".join(said), bool(plain)

    def name(self, entry: Round, nth: int | None = None) -> str:
        """What the round is called: "round five", "rounds nine to eleven, three rounds alike", "edging"."""
        if entry.kind == "step" or entry.first is None or entry.last is None:
            return self.speak(entry.label) or "next step"
        kind = _KIND[entry.kind]
        if entry.times == 1:
            return f"{kind} {cardinal(entry.first)}"
        if nth is None or nth == 1:
            alike = f"{cardinal(entry.times)} {kind}s alike"
            return f"{kind}s {span(entry.first, entry.last)}, {alike}"
        which = "last" if nth == entry.times else ordinal(nth)
        return f"{kind} {cardinal(entry.first + nth - 1)}, the {which} of {cardinal(entry.times)} alike"

    def total(self, entry: Round, *, full: bool = True, plain: bool = False) -> str:
        """The total as a sentence; with "the pattern says" where it was not worked out, and both where they differ."""
        if entry.kind == "step" and not entry.stitches:
            return ""
        if entry.stitches is None:
            return "The total is not known."
        number = count_of_stitches(entry.stitches) if full else cardinal(entry.stitches)
        if entry.chain_spaces:
            number = f"{count_of_stitches(entry.stitches)} and {counted(entry.chain_spaces, 'chain space')}"
        if entry.basis != "worked_out":
            return sentence(f"the pattern says {number}")
        printed = entry.declared.stitches if entry.declared else None
        if printed is not None and printed != entry.stitches and not plain:
            return sentence(f"{number} worked out, but the pattern says {cardinal(printed)}")
        return sentence(number)

    def _plain(self, entry: Round, work: Sequence[Instruction], context: Context) -> str:
        """ "one single crochet in each stitch around, twenty four" for a round that is just that, "" for any other."""
        motions = [item for item in work if not isinstance(item, Act) and not _weightless(item)]
        only = motions[0] if len(motions) == 1 else None
        if not isinstance(only, Work) or only.together != 1 or only.same or only.into is not None:
            return ""
        printed = entry.declared.stitches if entry.declared else None
        if entry.basis != "worked_out" or entry.kind == "step" or entry.stitches is None or entry.chain_spaces:
            return ""
        if only.count != entry.worked_into or printed not in (None, entry.stitches):
            return ""
        if only.count * only.in_one != entry.stitches:
            return ""
        each = self.motions.say(replace(only, in_one=1), only.in_one, kinds=context.kinds, loops=context.loops)
        return f"{each} in each stitch {_AROUND[entry.kind]}, {cardinal(entry.stitches)}"

    # --- sentences -----------------------------------------------------------------------------------------------

    def _sentences(self, work: Sequence[Instruction], context: Context, plain: str) -> list[str]:
        """The work as sentences: stretches in one, each repeat in its own, what makes no stitch in its own.

        `plain` stands in for the one motion of a plain round.
        """
        sentences: list[str] = []
        phrases: list[str] = []
        said_work = False

        def close() -> None:
            nonlocal said_work
            if phrases:
                sentences.append(sentence(("then " if said_work else "") + then(phrases)))
                phrases.clear()
                said_work = True

        for position, item in enumerate(work):
            if isinstance(item, Repeat):
                close()
                opening = "then " if said_work else ""
                sentences.append(sentence(f"{opening}{times(item.times)}: {self._body(item, context)}"))
                if context.full or position < len(work) - 1:
                    sentences.append("That ends the repeat.")
                said_work = True
            elif isinstance(item, Unread) or (isinstance(item, Act) and item.kind in _OWN_SENTENCE):
                close()
                sentences.append(sentence(self.motions.say(item)))
                said_work = said_work or isinstance(item, Unread)
            elif isinstance(item, Act) and item.kind == "colour":
                if not phrases and sentences:
                    sentences.append(f"Its last stitch is finished in {self.speak(item.text)}.")
                else:
                    self._finish_in(self.speak(item.text), work[position - 1], phrases)
            elif isinstance(item, Act) and item.kind == "ring" and _into_ring(work, position + 1):
                continue  # said with the stitches that go into it
            elif plain and isinstance(item, Work):
                phrases.append(plain)
                close()
            elif isinstance(item, Chain) and item.role == "start" and position and _founds(work[position - 1]):
                # Not made: it is what the foundation chain has beside the stitches.
                phrases += [f"the {cardinal(item.count)} chains passed by count as a stitch"] if item.counts else []
            else:
                phrases.append(self._phrase(item, context))
                if plain:
                    close()
        close()
        return sentences

    def _phrase(self, item: Instruction, context: Context) -> str:
        if isinstance(item, Repeat):
            return f"{times(item.times)} over, {self._body(item, context)}, end of the inner repeat"
        if isinstance(item, Chain) and _weightless(item) and not context.full:
            return self.motions.say(replace(item, role="space"))
        if not isinstance(item, Work):
            return self.motions.say(item, kinds=context.kinds, loops=context.loops)
        first = first_place(item, context.entry)
        if item.from_hook and item.in_one == 1 and item.count > 1:
            rest = self.motions.say(item, kinds=context.kinds, loops=context.loops)
            return f"beginning {first}, {rest}"
        return self.motions.say(item, kinds=context.kinds, loops=context.loops, place=first)

    def _body(self, repeat: Repeat, context: Context) -> str:
        """What is repeated, in one breath. A colour is said with the stitch before it, the first with the last."""
        opening = ""
        body = repeat.body
        if isinstance(body[0], Act) and body[0].kind == "colour":
            opening, body = self.speak(body[0].text), body[1:]
        phrases: list[str] = []
        for position, item in enumerate(body):
            if isinstance(item, Act) and item.kind == "colour":
                self._finish_in(self.speak(item.text), body[position - 1], phrases)
            else:
                phrases.append(self._phrase(item, context) + (f" in {opening}" if opening and not phrases else ""))
        if opening and phrases:
            self._finish_in(f"{opening} for the next repeat", body[-1], phrases)
        return then(phrases)

    @staticmethod
    def _finish_in(colour: str, before: Instruction, phrases: list[str]) -> None:
        """Adds a change of colour to the stitch before it: its last pull-through is made in the new colour."""
        if not phrases:
            phrases.append(f"change to {colour}")
            return
        one = isinstance(before, Work) and before.count * before.in_one == 1
        phrases[-1] += f", finished in {colour}" if one else f", the last finished in {colour}"


def then(phrases: Sequence[str]) -> str:
    """A list of things to do in order; with semicolons where one of them has commas of its own."""
    if len(phrases) < 2:
        return "".join(phrases)
    pause = "; " if any("," in phrase for phrase in phrases) else ", "
    return f"{pause.join(phrases[:-1])}{pause}then {phrases[-1]}"


def common_loop(work: Sequence[Instruction]) -> str:
    """ "front" or "back" where the whole round is worked in that loop only, "" otherwise."""
    loops: set[str] = set()

    def collect(items: Sequence[Instruction]) -> None:
        for item in items:
            if isinstance(item, Work):
                loops.add(item.loop)
            elif isinstance(item, Repeat | InOne):
                collect(item.body)

    collect(work)
    return loops.pop() if len(loops) == 1 and "both" not in loops else ""


def told_within(entry: Round) -> bool:
    """True where what the round is worked into is told with its stitches."""

    def targets(items: Sequence[Instruction]) -> bool:
        return any(
            (isinstance(item, Work | InOne) and item.into is not None)
            or (isinstance(item, Chain) and item.role == "foundation")
            or (isinstance(item, Repeat | InOne) and targets(item.body))
            for item in items
        )

    return targets(entry.instructions)


def _weightless(item: Instruction) -> bool:
    """True for a starting or turning chain that does not count as a stitch."""
    return isinstance(item, Chain) and item.role == "start" and not item.counts


def _into_ring(work: Sequence[Instruction], position: int) -> bool:
    """True where the instruction at that position goes into the ring just begun."""
    following = work[position] if position < len(work) else None
    return isinstance(following, Work | InOne) and following.into == "ring"
