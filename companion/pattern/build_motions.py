"""Grammar rules for the motion itself: so many of a stitch, increases, decreases, clusters, shells."""

from __future__ import annotations

from typing import Any

from companion.pattern.lexer import Token
from companion.pattern.placing import Motion


def number(token: Token) -> int:
    """The value of a token that is a number."""
    return int(token.value)


def number_in(children: list[Any]) -> int | None:
    """The first number among matched children, None where there is none."""
    return next((int(t.value) for t in children if type(t) is Token and t.type == "NUM"), None)


def _tog(text: str) -> tuple[str, int]:
    """The stitch and the number of "sc2tog", "sc2inc"."""
    text = text[:-3]
    word = text.rstrip("0123456789")
    digits = text[len(word) :]
    return word, int(digits) if len(digits) < 4 else 0


def _shape(motion: Motion, text: str) -> Motion:
    """The motion as "sc2tog" has it, two stitches together, or "sc2inc", two into one stitch."""
    word, count = _tog(text)
    if text.endswith("inc"):
        return motion._replace(word=word, in_one=count, apart=count, glued=motion.end - len("inc"))
    return motion._replace(word=word, together=count)


def _is_invisible(word: str) -> bool:
    return "inv" in word or word == "idec"


class Motions:
    """One method a rule, children in order."""

    def one(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[0].end, str(c[0].value), None)

    def counted(self, c: list[Token]) -> Motion:
        n, stitch = c
        return Motion(n.start, stitch.end, "" if stitch.type == "THEM" else str(stitch.value), number(n))

    def counted_after(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[1].end, str(c[0].value), number(c[1]))

    def pair(self, c: list[Token]) -> Motion:
        word = "" if c[1].type == "THEM" else str(c[1].value)
        return Motion(c[0].start, c[1].end, word, 2)

    def _shaped(self, c: list[Token], **shape: Any) -> Motion:
        word = next((str(t.value) for t in c if t.type == "STITCH"), "")
        stitch = next((k for k, t in enumerate(c) if t.type == "STITCH"), None)
        glued = c[stitch].end if stitch is not None and stitch < len(c) - 1 and c[-1].type in ("INC", "DEC") else 0
        return Motion(c[0].start, c[-1].end, word, number_in(c), shaping=True, glued=glued, **shape)

    def increase(self, c: list[Token]) -> Motion:
        return self._shaped(c, in_one=2)

    def decrease(self, c: list[Token]) -> Motion:
        word = next(str(t.value) for t in c if t.type == "DEC")
        return self._shaped(c, together=2, invisible=_is_invisible(word))

    def together(self, c: list[Token]) -> Motion:
        tog = next(t for t in c if t.type == "TOG")
        shaped = _shape(Motion(tog.start, tog.end, "", number_in(c), shaping=True), str(tog.value))
        return shaped._replace(start=c[0].start, end=c[-1].end)

    def stitch_together(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[2].end, str(c[0].value), None, together=number(c[1]), shaping=True)

    def stitches_together(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[2].end, str(c[1].value), None, together=number(c[0]), shaping=True)

    def gathered(self, c: list[Any]) -> Motion:
        if type(c[0]) is Motion:
            return c[0]
        word = next(str(t.value) for t in c if t.type == "GATHER")
        return Motion(c[0].start, c[-1].end, word, number_in(c))

    def gathered_of(self, c: list[Token]) -> Motion:
        parts, stitch, gather = c[-3:]
        n = number(c[0]) if len(c) == 4 else None
        return Motion(c[0].start, gather.end, str(gather.value), n, parts=(str(stitch.value), number(parts)))

    def gathered_tog(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[1].end, str(c[1].value), None, parts=_tog(str(c[0].value)))

    def spread(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[-1].end, str(c[-1].value), number_in(c))

    def spread_of(self, c: list[Token]) -> Motion:
        n, stitch, spread = c
        return Motion(n.start, spread.end, str(spread.value), None, parts=(str(stitch.value), number(n)))

    def evenly_shaped(self, token: Token) -> tuple[Motion, int]:
        """The motion of "6|hdc|INC|increase", and how many there are, 0 where that is not said."""
        number_said, stitch, terminal, word = str(token.value).split("|")
        motion = Motion(token.start, token.end, stitch, None, shaping=True)
        if terminal == "INC":
            motion = motion._replace(in_one=2)
        elif terminal == "DEC":
            motion = motion._replace(together=2, invisible=_is_invisible(word))
        else:
            motion = _shape(motion, word)._replace(glued=0)
        return motion, int(number_said or 0)

    def picot(self, c: list[Token]) -> Motion:
        return Motion(c[0].start, c[-1].end, "picot", None)
