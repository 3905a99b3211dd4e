"""A pattern as JSON, by its published schema, and back."""

import json
from pathlib import Path

import pytest

from companion.pattern.exchange import from_json, schema, to_json
from companion.pattern.reader import read, read_file
from companion.resources import shared_folder

CORPUS = sorted((Path(__file__).parent / "corpus").glob("*/*.*"))


def test_the_published_schema_is_the_one_in_use() -> None:
    """It is made anew by writing `json.dumps(schema(), indent=2)` to that file."""
    published = json.loads((shared_folder() / "pattern.schema.json").read_text(encoding="utf-8"))
    assert published == schema()


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.name)
def test_what_is_written_as_json_comes_back_the_same(path: Path) -> None:
    pattern = read_file(path)
    again = from_json(to_json(pattern).model_dump_json())
    assert (again.title, again.terms, again.problems) == (pattern.title, pattern.terms, pattern.problems)
    assert again.notes == pattern.notes
    assert again.assembly == pattern.assembly
    for there, here in zip(again.pieces, pattern.pieces, strict=True):
        assert (there.name, there.make, there.notes, there.shape) == (here.name, here.make, here.notes, here.shape)
        for a, b in zip(there.rounds, here.rounds, strict=True):
            assert (a.suggested, a.worked_into, a.stitches, a.basis, a.instructions, a.notes) == (
                b.suggested,
                b.worked_into,
                b.stitches,
                b.basis,
                b.instructions,
                b.notes,
            )
            assert [(s.takes, s.gives, s.run) for s in a.steps] == [(s.takes, s.gives, s.run) for s in b.steps]


def test_json_that_keeps_to_no_schema_is_refused() -> None:
    with pytest.raises(ValueError, match="validation error"):
        from_json('{"title": "x"}')


def test_unread_words_are_in_the_json() -> None:
    pattern = read("Rnd 1: 6 sc in MR [6]\nRnd 2: wibble the frobs x 6 [12]")
    assert '"wibble the frobs x 6"' in to_json(pattern).model_dump_json()
