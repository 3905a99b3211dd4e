"""Whatever is said in whatever order: nothing breaks, nothing is lost, and the file has the totals that were told."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from companion.dictation.opening import open_dictation
from companion.dictation.script import pattern_of
from companion.dictation.tidy import laid_out
from companion.pattern.reader import read

SENTENCES = """
six single crochet in a magic ring|twelve double crochet in a magic ring|magic ring|chain seven|next round
increase six times|single crochet one increase repeat six times|single crochet one decrease repeat six times
single crochet in each stitch around|single crochet two, then do increase, six times
increase two single crochet|six times|repeat the whole thing twice|the first|the second|no, five, not six
I meant three|increase not decrease|no single crochet three increase six times|scratch that|redo that
scratch the round|same again|same again three times|rounds four to six|round two|new piece called ear
new piece|call it paw|make two of these|work in rows|in a spiral|change to blue|change to red
note, stuff before closing|eyes between rounds two and three|that makes eighteen
the pattern is called hill fox|single crochet six starting in the second chain from the hook turn
in the back loops only single crochet around|single crochet to the last two stitches
three double crochet in the same stitch|skip a stitch single crochet one|fasten off|join
did four, two increases|single crochet in each stitch around for four rounds|in UK terms|in US terms
single crochet three together|read it back|read the whole pattern|what have I got|say that again|pause|resume
yes|no|brief|in full|one hundred single crochet|the hook is three millimetres
I'm working freely|work out the rounds|the round ended after four|split round two after six|that was the round
put the last two rounds together|put rounds two and three together|did eighteen|did four decreases
chain fifteen|double crochet in each chain across|the fourth chain from the hook|it counts|it does not count
chain three, turn|chain four join chain three eleven double crochet in the ring|assembly sew on the ears
the gauge is twenty stitches to ten centimetres|also needed stuffing|designed by the sofa workshop
five single crochet skip a stitch that makes six|change to six single crochet|new piece called round two
"""
SAID = [sentence for line in SENTENCES.strip().splitlines() for sentence in line.split("|")]


@pytest.mark.parametrize("seed", range(16))
def test_anything_said(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    out = tmp_path / "hill-fox.txt"
    with open_dictation(out, state=tmp_path) as dictating:
        for _ in range(60):
            said = chance.choice(SAID)
            for turn in dictating.typed(said):
                assert not re.search(r"\d|[{}]", turn.reply), (said, turn.reply)
        if dictating.state == "paused":
            dictating.typed("resume")
        draft = dictating.draft
    with open_dictation(out, state=tmp_path) as dictating:
        assert dictating.draft == draft
        dictating.end()
    pattern = pattern_of(draft)
    if pattern.pieces:
        assert laid_out(read(out.read_text(encoding="utf-8"))) == laid_out(pattern)
