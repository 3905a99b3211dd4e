from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.mouth.loudness import integrated_loudness
from companion.mouth.voice import CHILD, MouthError, Voice

pytestmark = pytest.mark.speech

SENTENCE = "Round five. Six times: three single crochet, then one increase."


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    with Voice("en-us") as voice:
        yield voice


def child(tmp_path: Path, code: str) -> tuple[str, ...]:
    """A stand-in for the render process: the real one's main, with something broken first."""
    script = tmp_path / "child.py"
    script.write_text(f"import sys\nsys.path.insert(0, {str(Path.cwd())!r})\n{code}\n", encoding="utf-8")
    return (sys.executable, str(script))


def test_a_sentence_becomes_sound_of_a_sensible_length(voice: Voice) -> None:
    sound = voice.render(SENTENCE)
    assert 2.5 < sound.seconds < 6.0, "eleven words at 170 a minute take about four seconds"
    assert 0.1 < sound.peak <= 1.0


def test_sentences_after_each_other_are_each_their_own(voice: Voice) -> None:
    # Two saves queued in the synthesiser write one file; one request a sentence must not.
    long, short = voice.render("Twelve made, eighteen left in this round."), voice.render("No.")
    assert long.seconds > 2 * short.seconds


def test_every_reply_is_equally_loud(voice: Voice) -> None:
    for text in (SENTENCE, "No.", "Twelve made, eighteen left."):
        assert integrated_loudness(voice.render(text)) == pytest.approx(-20.0, abs=0.5)


def test_speech_starts_at_once(voice: Voice) -> None:
    sound = voice.render("Twelve made.")
    assert sound.cut(0.0, 0.03).peak > 0.002, "a maker waits for silence too"


def test_slower_is_slower(voice: Voice) -> None:
    assert voice.render(SENTENCE, rate=0.7).seconds > 1.25 * voice.render(SENTENCE).seconds


def test_every_sentence_has_the_speed_it_was_asked_for() -> None:
    # The synthesiser works in a thread of its own; a change of speed must reach it before the sentence, every time.
    with Voice("en-us") as voice:
        seconds = [voice.render(f"{i} stitches are left in this round.", rate=1 + i % 2).seconds for i in range(20, 40)]
    assert min(seconds[::2]) > 1.4 * max(seconds[1::2])


def test_the_first_sentence_sounds_as_it_would_later() -> None:
    # Changes asked for before the synthesiser's first loop wait in a queue, and must not be lost there.
    for _ in range(4):
        with Voice("en-us", words_per_minute=130) as voice:
            first = voice.render(SENTENCE)
            voice.render("Something else.", rate=1.5)
            voice.forget()
            assert voice.render(SENTENCE).seconds == pytest.approx(first.seconds, rel=0.02)


def test_other_voices_sound_different(voice: Voice) -> None:
    names = voice.names()
    british = next(v for v in names if "en-gb" in v.languages)
    for wanted in (british.name, british.id, "en-gb", "en-gb+m3", "en-us+f3"):
        with Voice(wanted) as other:
            sound = other.render(SENTENCE)
        assert sound.seconds > 2.0
        ours = voice.render(SENTENCE).samples
        assert len(sound.samples) != len(ours) or (sound.samples != ours).any()


def test_a_sentence_said_before_costs_nothing(voice: Voice) -> None:
    assert not voice.has("Seven hundred and eleven.")
    first = voice.render("Seven hundred and eleven.")
    assert voice.has("Seven  hundred and eleven.")
    assert voice.render("Seven hundred and eleven.") is first
    assert not voice.has("Seven hundred and eleven.", rate=0.7)


def test_nothing_said_is_no_sound(voice: Voice) -> None:
    assert voice.render("  \n").seconds == 0.0


def test_an_unknown_voice_is_told_in_one_sentence() -> None:
    with Voice("no such voice") as voice, pytest.raises(MouthError, match="choose another voice"):
        voice.render("Hello.")


def test_a_synthesiser_that_hangs_once_is_started_anew(tmp_path: Path) -> None:
    code = f"""
import pathlib, time
from companion.mouth import render_child
mark = pathlib.Path({str(tmp_path / "hung")!r})
real = render_child._served
def served(engine, request):
    if not mark.exists():
        mark.write_text("")
        time.sleep(60)
    return real(engine, request)
render_child._served = served
render_child.main()
"""
    with Voice(time_limit=0.5, child=child(tmp_path, code)) as voice:
        assert voice.render("Hello there.").seconds > 0.3
    assert (tmp_path / "hung").exists()


def test_a_synthesiser_that_dies_every_time_is_told_in_one_sentence(tmp_path: Path) -> None:
    code = """
import os
from companion.mouth import render_child
render_child._served = lambda engine, request: os._exit(3)
render_child.main()
"""
    with Voice(child=child(tmp_path, code)) as voice, pytest.raises(MouthError, match="start the companion again"):
        voice.render("Hello there.")


def test_a_file_that_was_never_written_is_noticed(tmp_path: Path) -> None:
    code = """
from companion.mouth import render_child
render_child._served = lambda engine, request: {"done": True}
render_child.main()
"""
    with Voice(child=child(tmp_path, code)) as voice, pytest.raises(MouthError, match="gave no sound"):
        voice.render("Hello there.")


def test_what_the_synthesiser_prints_does_not_reach_standard_output(capfd: pytest.CaptureFixture[str]) -> None:
    with Voice() as voice:
        voice.render("Hello there.")
    assert capfd.readouterr().out == ""


HIDE_ESPEAK = """
import ctypes
real = ctypes.cdll.LoadLibrary
def load(name):
    if "espeak" in str(name) and "espeakng_loader" not in open("/proc/self/maps").read():
        raise OSError(name)
    return real(name)
ctypes.cdll.LoadLibrary = load
"""


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux loads libespeak-ng by name")
def test_without_espeak_the_exact_line_to_run_is_given(tmp_path: Path) -> None:
    code = HIDE_ESPEAK + (
        "from companion.mouth import render_child\nrender_child.find_spec = lambda name: None\nrender_child.main()"
    )
    with (
        pytest.raises(MouthError, match=r"espeak-ng is not installed.*sudo apt-get install espeak-ng"),
        Voice(child=child(tmp_path, code)),
    ):
        pass


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux loads libespeak-ng by name")
def test_the_wheel_with_espeak_in_it_serves_where_the_system_has_none(tmp_path: Path) -> None:
    pytest.importorskip("espeakng_loader", reason="the optional wheel espeakng-loader is not installed")
    code = HIDE_ESPEAK + "from companion.mouth import render_child\nrender_child.main()"
    with Voice("en-us", child=child(tmp_path, code)) as voice:
        assert voice.render(SENTENCE).seconds > 2.5


def test_the_child_is_run_with_the_interpreter_of_the_program() -> None:
    assert CHILD[0] == sys.executable
