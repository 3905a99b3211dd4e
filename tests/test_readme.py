"""What the README promises is so."""

import re
from pathlib import Path

from companion.phrases.listing import as_document
from companion.phrases.phrasebook import Phrasebook

ROOT = Path(__file__).parent.parent


def test_the_list_of_all_phrases_is_the_one_of_the_templates() -> None:
    listed = (ROOT / "shared" / "phrases" / "README.md").read_text(encoding="utf-8")
    assert listed == as_document(), "run scripts/phrase_table.py"


def test_every_sentence_that_the_readme_teaches_is_understood() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    chapter = readme[readme.index("## How to talk to it") : readme.index("## Microphone, loudspeaker")]
    taught = re.findall(r'"([^"]+)"', chapter)
    assert len(taught) > 30
    book = Phrasebook(["nut"])
    assert [sentence for sentence in taught if len(book.parse(sentence.lower())) != 1] == []


def test_the_first_paragraph_tells_the_job_and_the_two_commands_follow() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert readme.index("sh scripts/demo") < readme.index("sh scripts/test") < readme.index("## ")
