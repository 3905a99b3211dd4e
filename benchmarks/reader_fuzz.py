"""Texts to trip the reader up: patterns with typing errors, words in any order, signs in any order."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

CORPUS = Path(__file__).parent.parent / "tests" / "pattern" / "corpus"
SIGNS = "()[]{}<>*,.;:x×-–=0123456789 \n\t'\"“”abcdefgz#|/\\+&%$\u202e\u0000\u00ad½é"
WORDS = (
    "sc inc dec ( ) [ ] * x 6 3 in next each every st sts , . ; ring ch rep from around to last sk tog of first leg",
    "and same row as < > = sc2tog 2tog times more BLO FLO total makes 2nd hook space corner turn join with red",
)


@cache
def _texts() -> tuple[str, ...]:
    return tuple(path.read_text(encoding="utf-8") for path in sorted(CORPUS.glob("*/*.*")))


@cache
def _words() -> tuple[str, ...]:
    return tuple(sorted({word for text in _texts() for word in text.split()}))


def hostile_text(rng: random.Random) -> str:
    """One text; which kind it is follows from the generator."""
    kind = rng.random()
    if kind < 0.3:
        return _mistyped(rng, rng.choice(_texts()))
    if kind < 0.6:
        return "\n".join(
            (f"Rnd {n}: " if rng.random() < 0.7 else "") + " ".join(rng.choices(_words(), k=rng.randint(1, 14)))
            for n in range(1, rng.randint(2, 8))
        )
    if kind < 0.8:
        return "".join(rng.choices(SIGNS, k=rng.randint(1, 300)))
    return "Rnd 1: " + " ".join(rng.choices(" ".join(WORDS).split(), k=rng.randint(1, 40)))


def _mistyped(rng: random.Random, text: str) -> str:
    signs = list(text)
    for _ in range(rng.randint(1, 20)):
        at, what = rng.randrange(len(signs) + 1), rng.random()
        if what < 0.4 and signs:
            del signs[min(at, len(signs) - 1)]
        elif what < 0.8:
            signs.insert(at, rng.choice(SIGNS))
        else:
            signs[at:at] = signs[at : at + rng.randint(1, 30)]
    return "".join(signs)
