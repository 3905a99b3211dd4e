"""Talk that is not for the companion, made up from the lines of `ear_talk.yaml`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import yaml


@cache
def _text() -> tuple[list[str], dict[str, list[str]]]:
    data = yaml.safe_load(Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8"))
    return data["lines"], data["lists"]


def sentences(rng: np.random.Generator) -> Iterator[str]:
    """Sentences without end, each drawn from the lines with every gap filled at random."""
    lines, lists = _text()
    while True:
        line = lines[int(rng.integers(len(lines)))]
        yield re.sub(r"\{(\w+)\}", lambda gap: str(rng.choice(lists[gap.group(1)])), line)
