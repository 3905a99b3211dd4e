"""US or UK: what a pattern states about its terms, and what its stitches show."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final, NamedTuple

from companion.pattern.lexer import fold
from companion.pattern.model import Problem, Terms
from companion.pattern.page import RoundDraft
from companion.pattern.parse import MAX_CHARACTERS
from companion.pattern.problems import problem
from companion.pattern.source import Source
from companion.pattern.stitches import telling

_US: Final = r"us|u\.s\.|usa|american"
_UK: Final = r"uk|u\.k\.|british|english"
_ABOUT: Final = (
    r"(?:crochet\s+)?(?:terms?|terminology|notation|abbreviations?|stitch(?:es)?(?:\s+(?:names?|terms?))?|language)"
)
_STATED: Final = re.compile(
    rf"(?<!\w)(?P<before>{_US}|{_UK})(?!\w)[\s/-]{{0,3}}(?:crochet\s+|standard\s+)?{_ABOUT}\b"
    rf"|\b(?:terms?|terminology|notation|language)\s*(?:used)?\s*[:=-]?\s*(?:is|are|in)?\s*(?P<after>{_US}|{_UK})(?!\w)"
    rf"|\b(?:written|worked|given)\s+in\s+(?P<in>{_US}|{_UK})(?!\w)"
)
_KEY: Final = re.compile(r"\W*(?:terms?|terminology)\W*:")
_TENSION: Final = re.compile(r"(?im)^[^\w\n]{0,20}tension\b")
_TELLING: Final = frozenset({"STITCH", "GATHER", "SPREAD", "TOG", "SKIP"})
"""Types of tokens that can show which terms they are in."""


def stated_terms(text: str) -> Terms | None:
    """The terms a text says it is written in, or None. A line that names both, "UK terms (US in brackets)", gives the
    one it names first, unless it only sets them side by side."""
    lines = [fold(line) for line in text.split("\n") if len(line) <= 500]
    lines.sort(key=lambda folded: not _KEY.match(folded))  # "Terms: US" says it best, wherever it stands
    for folded in lines:
        match = _STATED.search(folded)
        if match is None or _denied(folded, match.start()):
            continue
        word = match["before"] or match["after"] or match["in"]
        if re.search(rf"(?:{_US})\s*(?:/|or|and|-)\s*(?:{_UK})|(?:{_UK})\s*(?:/|or|and|-)\s*(?:{_US})", folded):
            continue
        return "US" if re.fullmatch(_US, word) else "UK"
    return None


def _denied(folded: str, at: int) -> bool:
    """ "not US terms", "for UK terms see below"."""
    return re.search(r"(?:\bnot\b|\bfor|\bsee|\bversus|\bvs\.?)\W+(?:\w+\W+)?$", folded[:at]) is not None


class Shown(NamedTuple):
    """The first word that shows US terms and the first that shows UK terms, each with its offset."""

    us: tuple[int, str] | None
    uk: tuple[int, str] | None


def shown_terms(source: Source, rounds: Iterable[RoundDraft]) -> Shown:
    """What the stitches of the rounds show, and the heading "Tension"."""
    only: dict[str, Terms] = {**dict.fromkeys(telling("US"), "US"), **dict.fromkeys(telling("UK"), "UK")}
    seen: dict[Terms, tuple[int, str]] = {}
    for entry in rounds:
        if len(seen) == 2:
            break
        for token in source.tokens(entry.body, min(entry.end, entry.body + MAX_CHARACTERS)):
            if token.type not in _TELLING:
                continue
            word = str(token.value)
            if token.type == "TOG":
                word = re.split(r"\d", word)[0]
            terms = only.get(word) if token.type != "SKIP" else "UK" if word.startswith("miss") else None
            if terms is not None:
                seen.setdefault(terms, (entry.body + token.start, word))
    tension = _TENSION.search(source.text)
    if tension is not None and "UK" not in seen:
        seen["UK"] = (tension.start(), "tension")
    return Shown(seen.get("US"), seen.get("UK"))


def decide(source: Source, asked: Terms | None, stated: Terms | None, shown: Shown, problems: list[Problem]) -> Terms:
    """The terms to read in: what the maker says, else what the pattern states, else what it shows, else US."""
    terms = asked or stated
    if shown.us is not None and shown.uk is not None:
        first, second = (shown.us, shown.uk) if shown.us[0] < shown.uk[0] else (shown.uk, shown.us)
        stray = second if terms is None else shown.uk if terms == "US" else shown.us
        _mixed(source, shown, stray, problems)
        return terms or ("US" if first is shown.us else "UK")
    against = shown.uk if terms == "US" else shown.us if terms == "UK" else None
    if terms is not None and against is not None and against[1] != "tension":
        other = "UK" if terms == "US" else "US"
        line, column = source.at(against[0])
        said = "It is to be read in" if asked else "The pattern says it is in"
        message = f"{said} {terms} terms, but “{against[1]}” is a {other} term."
        problems.append(
            problem("terms_mixed", line, column, message, f"Find out which it is, and try --terms {other}.")
        )
    if terms is not None:
        return terms
    if shown.us is not None:
        return "US"
    if shown.uk is not None:
        return "UK"
    message = "Nothing in this pattern says whether its terms are US or UK; US is assumed."
    problems.append(
        problem("terms_assumed", 1, 1, message, "Add a line “Terms: US” or “Terms: UK”, or say --terms UK.")
    )
    return "US"


def _mixed(source: Source, shown: Shown, stray: tuple[int, str], problems: list[Problem]) -> None:
    assert shown.us is not None
    assert shown.uk is not None
    line, column = source.at(stray[0])
    message = f"“{shown.us[1]}” is a US term and “{shown.uk[1]}” a UK term; a pattern can only be in one of them."
    hint = "Say which terms it is written in with --terms US or --terms UK, and correct the others."
    problems.append(problem("terms_mixed", line, column, message, hint))
