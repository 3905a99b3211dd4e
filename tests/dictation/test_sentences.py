"""Every sentence of a dictation can be heard, with every slot filled and no figure in it."""

from __future__ import annotations

import re
from pathlib import Path

import companion
from companion.wording.sentences import sentences

ROOT = Path(companion.__file__).parent
SOURCE = "\n".join(
    path.read_text(encoding="utf-8")
    for path in [
        *(ROOT / "dictation").glob("*.py"),
        ROOT / "wording" / "dictation.py",
        ROOT / "phrases" / "dictation.yaml",
    ]
)
NAMES = [key.removeprefix("dictation.") for key in sentences() if key.startswith("dictation.")]


def test_no_sentence_is_left_over() -> None:
    assert [name for name in NAMES if not re.search(rf"\b{name}\b", SOURCE) and not name.startswith("shape_")] == []


def test_every_sentence_that_is_asked_for_is_there() -> None:
    asked = set(re.findall(r'(?:refused|text|say)\(\s*"([a-z_]+)"', SOURCE))
    assert asked
    assert asked - set(NAMES) == set()
