"""What the ear is not sure of is asked, and answered as people answer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.dictation.dictating import Dictating
from companion.dictation.opening import open_dictation
from companion.dictation.spoken import phrasebook_in
from companion.ear.decide import Decision, Interpretation, Verdict
from companion.ear.recogniser import Reading


@pytest.fixture
def dictating(out: Path, tmp_path: Path) -> Iterator[Dictating]:
    with open_dictation(out, state=tmp_path) as dictation:
        dictation.typed("nine single crochet in a magic ring")
        dictation.typed("next round")
        yield dictation


def verdict(*texts: str, decision: Decision = "ask") -> Verdict:
    """What the ear says of a sentence it is not sure of: one meaning, or two."""
    meanings = tuple(
        Interpretation(
            text,
            phrasebook_in("US").parse(text),
            -5.0,
            -5.0,
            Reading(text, -5.0, 5, len(text), -5.0, 5),
        )
        for text in texts
    )
    return Verdict(texts[0], meanings[0].commands, decision, 0.7, meanings)


TWO = "single crochet two increase three times"
THREE = "single crochet three increase three times"


@pytest.mark.parametrize(
    ("asked", "answer", "stitches"),
    [
        ((TWO,), "yes", 12),
        ((TWO,), "no", 0),
        ((TWO,), "no, one, not two", 9),
        ((TWO,), "no, single crochet one increase three times", 9),
        ((TWO, THREE), "the second", 15),
        ((TWO, THREE), "no, two", 12),
        (("did nine",), "no, five", 5),
        (("did nine",), "I meant eight", 8),
    ],
)
def test_answers(dictating: Dictating, asked: tuple[str, ...], answer: str, stitches: int) -> None:
    (question,) = dictating.heard(verdict(*asked))
    assert not question.accepted
    assert question.reply.endswith("?") or "Say the first, or the second." in question.reply
    assert question.stitches == 0, "nothing is written before it is answered"
    (turn,) = dictating.typed(answer)
    assert (turn.round, turn.stitches) == (2, stitches)
    assert dictating.draft.pieces[0].rounds[0].items, "the round before is as it was"
    assert not dictating.unsure


def test_two_lines_that_sound_alike_are_told_by_what_they_come_to(dictating: Dictating) -> None:
    once, twice = "single crochet two decrease three times", "single crochet two decreases three times"
    (question,) = dictating.heard(verdict(once, twice))
    assert "The first: Three times: two single crochet, then one decrease." in question.reply
    assert "The second: Three times: one single crochet, then two decreases." in question.reply


def test_an_answer_that_is_not_clear_writes_nothing(dictating: Dictating) -> None:
    dictating.heard(verdict("single crochet five increase six times"))
    (turn,) = dictating.typed("no, four")
    assert (turn.stitches, turn.reply) == (0, "Nothing was written. Say it again.")


def test_an_answer_that_is_asked_about_in_turn(dictating: Dictating) -> None:
    dictating.heard(verdict("did nine"))
    (again,) = dictating.heard(verdict("no, five"))
    assert again.reply == "Did you say: no, five?"
    (turn,) = dictating.typed("yes")
    assert turn.stitches == 5


@pytest.mark.parametrize(
    "said", ["finish", "new piece called ear", "next round", "scratch that", "that's all for today"]
)
def test_nothing_is_ended_begun_or_taken_back_unasked(dictating: Dictating, out: Path, said: str) -> None:
    dictating.typed("nine single crochet")
    draft = dictating.draft
    (turn,) = dictating.heard(verdict(said))
    assert not turn.accepted
    assert turn.reply.startswith("Did you say")
    assert (dictating.draft, dictating.state, out.exists()) == (draft, "writing", False)


@pytest.mark.parametrize("said", ["read it back", "what have I got", "read the whole pattern"])
def test_what_only_tells_is_done(dictating: Dictating, said: str) -> None:
    draft = dictating.draft
    (turn,) = dictating.heard(verdict(said))
    assert turn.accepted
    assert "nine" in turn.reply.lower()
    assert dictating.draft == draft
