"""What a pattern's own words say of gauge, hook and yarn. What is not plain is not read, and never guessed at."""

from __future__ import annotations

import re
from dataclasses import replace

from companion.craft import tables, units
from companion.craft.gauge import LEAST_HOOK, MOST_HOOK, Gauge, from_figures
from companion.errors import MakerError
from companion.pattern.model import Pattern, Terms

_COUNT = re.compile(
    r"(?<![\d.,½¼¾–—-])(?P<number>\d+(?:[.,]\d+)?)\s*(?:(?P<stitch>sc|hdc|htr|dc|tr|dtr)\b|"
    r"(?P<stitches>st\b|sts\b|stitch(?:es)?\b)|(?P<rounds>rnds?\b|rounds?\b|rows?\b))(?!\s*[-–]\s*\d)",
    re.IGNORECASE,
)
_LENGTH = re.compile(r"(?P<length>\d+(?:[.,]\d+)?\s*(?:cm|mm|inch(?:es)?|ins?\b|[\"″”]))", re.IGNORECASE)
_RANGE = re.compile(r"\d\s*(?:-|–|—|to)\s*\d")
_NAMED = re.compile(
    r"\b(?:in|over|of)\s+"
    r"(single crochet|half double crochet|half treble crochet|double crochet|treble crochet|sc|hdc|dc|htr|tr)\b",
    re.IGNORECASE,
)
_US = {
    "sc": "sc",
    "hdc": "hdc",
    "dc": "dc",
    "tr": "tr",
    "single crochet": "sc",
    "half double crochet": "hdc",
    "double crochet": "dc",
    "treble crochet": "tr",
}
_UK = {
    "dc": "sc",
    "htr": "hdc",
    "tr": "dc",
    "dtr": "tr",
    "double crochet": "sc",
    "half treble crochet": "hdc",
    "treble crochet": "dc",
}


def read(text: str, terms: Terms = "US", stitch: str = "sc") -> Gauge | None:
    """The gauge in a pattern's own words, such as "28 stitches and 30 rounds to 10 cm"; None where it is not plain.

    `stitch` is what it was measured in where the words do not say. Ranges ("28-30 stitches") are not read.
    """
    lengths = [(found.start(), units.millimetres(found["length"])) for found in _LENGTH.finditer(text)]
    if not lengths or _RANGE.search(text):
        return None
    per_10cm: dict[str, float] = {}
    for found in _COUNT.finditer(text):
        kind = "rounds" if found["rounds"] else "stitches"
        if kind in per_10cm:
            return None
        # A count belongs to the next length after it ("4 sc to 1 inch"), else to the last before it.
        mm = next((mm for start, mm in lengths if start > found.start()), lengths[-1][1])
        per_10cm[kind] = float(found["number"].replace(",", ".")) * 100 / mm
        if found["stitch"]:
            stitch = _key(found["stitch"], terms) or stitch
    if named := _NAMED.search(text):
        stitch = _key(named[1], terms) or stitch
    if "stitches" not in per_10cm:
        return None
    try:
        gauge = from_figures(per_10cm["stitches"], per_10cm.get("rounds"), stitch)
    except MakerError:
        return None
    source = "the pattern's gauge" if "rounds" in per_10cm else "the pattern's stitches over 10 cm; it gives no rounds"
    return replace(gauge, basis="pattern", source=source, spread=tables.practice().size_pattern.high - 1)


def _key(name: str, terms: Terms) -> str | None:
    return (_US if terms == "US" else _UK).get(name.lower())


def hook_mm(text: str) -> float | None:
    """The hook that a pattern names, in millimetres: "2.5 mm", "G-6", "size H (5 mm)". None where it is not plain."""
    sizes = {float(size.replace(",", ".")) for size in re.findall(r"(\d+(?:[.,]\d+)?)\s*mm\b", text, re.IGNORECASE)}
    if sizes:
        size = sizes.pop()
        return size if not sizes and LEAST_HOOK <= size <= MOST_HOOK else None
    for word in re.findall(r"\b[A-Z](?:[-/]\d+(?: 1/2)?)?(?![\w-])", text):
        if hook := tables.hooks().labelled(word.replace("/", "-")):
            return hook.mm
    return None


def yarn_weight(pattern: Pattern) -> tables.YarnWeight | None:
    """The yarn weight that a pattern names in its yarn line, else in its materials; None where it names two."""
    for lines in ((pattern.yarn,), pattern.materials):
        found = {weight.number: weight for line in lines if line and (weight := tables.yarns().find(line))}
        if len(found) == 1:
            return next(iter(found.values()))
        if found:
            return None
    return None
