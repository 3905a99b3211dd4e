"""Writing down aloud has what working aloud has: keys, settings by voice, questions that lapse, news of the devices."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import settings
from companion.attention import AttentionError
from companion.dictation.dictating import Dictating
from companion.dictation.opening import open_dictation
from companion.ear.attention import Attention
from companion.ear.decide import Verdict
from companion.keys import KEYS
from tests.support.loop import Notes, conversation, hear


@pytest.fixture
def dictating(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Dictating]:
    monkeypatch.setattr(settings, "settings_file", lambda: tmp_path / "config" / "live.json")
    with open_dictation(tmp_path / "paw.txt", state=tmp_path) as dictating:
        dictating.opening()
        yield dictating


def test_a_round_is_answered_and_said_again_slowly(dictating: Dictating) -> None:
    notes = Notes()
    talk = conversation(dictating, notes)
    hear(dictating, notes, talk, "six single crochet in a magic ring")
    hear(dictating, notes, talk, "say that again")
    hear(dictating, notes, talk, "say that slowly")
    assert notes.said[0] == "Round one. Six single crochet in a magic ring. Six stitches."
    assert notes.said == [notes.said[0]] * 3
    assert notes.rates[2] < notes.rates[1] == notes.rates[0]


def test_slower_louder_and_brief_are_kept_for_next_time(dictating: Dictating, tmp_path: Path) -> None:
    notes = Notes()
    talk = conversation(dictating, notes)
    for said in ("slower", "louder", "keep it short", "six single crochet in a magic ring"):
        hear(dictating, notes, talk, said)
    assert notes.said[0] == "Speed eighty five per cent."
    assert notes.rates[-1] == pytest.approx(0.85)
    assert notes.volume > 0
    dictating.close()
    with open_dictation(tmp_path / "paw.txt", state=tmp_path) as again:
        assert (again.settings.speed, again.settings.volume, again.settings.verbosity) == (85, 120, "brief")


def test_only_printing_until_it_is_asked_to_talk(dictating: Dictating) -> None:
    notes = Notes()
    talk = conversation(dictating, notes)
    hear(dictating, notes, talk, "print only")
    hear(dictating, notes, talk, "six single crochet in a magic ring")
    assert len(notes.said) == 1
    assert notes.shown[-1].reply.endswith("Six stitches.")
    assert settings.load().answers == "print"


def test_what_was_not_meant_for_us_leaves_the_reply_alone(dictating: Dictating) -> None:
    notes = Notes()
    talk = conversation(dictating, notes)
    hear(dictating, notes, talk, "six single crochet in a magic ring")
    stopped = notes.stopped
    hear(dictating, notes, talk, "the kettle is on")
    assert (notes.stopped, len(notes.said)) == (stopped, 1)


def test_with_an_attention_word_only_what_begins_with_it_is_taken_down(dictating: Dictating) -> None:
    assert dictating.listen_for("Clementine") == "I act only on what begins with: clementine."
    attention = Attention()

    def said(text: str, began: int) -> str:
        commands = dictating.called.parse(text)
        verdict = attention.let_through(Verdict(text, commands, "act", 0.99), dictating.called, began, began + 30)
        return " ".join(turn.command or "" for turn in dictating.heard(verdict))

    assert said("six single crochet in a magic ring", 0) == ""
    assert dictating.draft.piece is None
    assert said("clementine six single crochet in a magic ring", 1000) == "stitches"
    assert dictating.where.endswith("Six stitches.")
    assert said("clementine", 2000) == "attention"  # the word alone, and then the sentence
    assert said("increase six times", 2050) == "stitches"
    assert said("scratch that", 3000) == ""
    assert said("quiet", 4000) == "quiet"
    assert said("turn the attention word off", 5000) == "attention_off"
    assert dictating.called is dictating.phrasebook


def test_a_word_that_a_line_of_stitches_begins_with_is_refused(dictating: Dictating) -> None:
    with pytest.raises(AttentionError, match="sentences that I know begin with it"):
        dictating.listen_for("single crochet")


def test_a_sentence_that_goes_on_is_taken_down_as_a_whole(dictating: Dictating) -> None:
    notes = Notes()
    talk = conversation(dictating, notes)
    hear(dictating, notes, talk, "six single crochet")
    hear(dictating, notes, talk, "six single crochet in a magic ring", joined=True)
    assert notes.said[-1].endswith("Six stitches.")
    hear(dictating, notes, talk, "scratch that")
    assert dictating.draft.piece is None


def test_every_key_means_something_or_says_that_it_does_not(dictating: Dictating) -> None:
    unused = {key for key, words in KEYS.items() if dictating.pressed(words)[0].reply.endswith("while I write.")}
    assert unused == {"n", "t"}, "single stitches and beats are of the work alone"
    assert dictating.over, "q ends it"


def test_a_pedal_goes_on_to_the_next_round_and_takes_nothing_back(dictating: Dictating) -> None:
    dictating.typed("six single crochet in a magic ring")
    (turn,) = dictating.pressed(KEYS["space"])
    assert (turn.command, turn.round) == ("next_round", 2)
    (turn,) = dictating.pressed(KEYS["left"])
    assert (turn.command, turn.round) == ("read_back", 2)


def test_a_question_of_the_ear_lapses_after_its_time(dictating: Dictating, monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(dictating, "_clock", lambda: now[0])
    commands = dictating.phrasebook.parse("did nine")
    dictating.heard(Verdict("did nine", commands, "ask", 0.6))
    dictating.speaking(True)
    now[0] += 60
    assert dictating.due() is None, "it is still being asked"
    dictating.speaking(False)
    now[0] += 7
    assert dictating.due() is None
    now[0] += 2
    lapsed = dictating.due()
    assert lapsed is not None
    assert lapsed.reply == "Nothing was written. Say it again."
    assert dictating.due() is None


def test_news_of_the_devices_says_where_we_are(dictating: Dictating) -> None:
    dictating.typed("new piece called paw")
    assert dictating.news("microphone_back") == "The microphone is back. Paw, round one, nothing in it yet."
