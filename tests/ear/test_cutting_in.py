"""When speech is held: at once, for a moment for a knock, for as long as a voice goes on."""

from __future__ import annotations

from companion.ear.cutting_in import CuttingIn


def held(frames: str) -> str:
    """A letter a frame: "s" a sound, "v" a voice, "." nothing; back comes "h" where speech is held."""
    cutting_in = CuttingIn()
    return "".join("h" if cutting_in.holds(sound=frame in "sv", voice=frame == "v") else "." for frame in frames)


def test_a_sound_holds_speech_at_once_and_for_a_moment() -> None:
    assert held("..s.........") == "..hhhhhh...."


def test_a_voice_that_comes_of_the_sound_holds_it_until_it_ends() -> None:
    assert held("..ss..vvvvvvvv....") == "..hhhhhhhhhhhh...."


def test_a_voice_that_falters_as_it_begins_does_not_let_it_go_on() -> None:
    assert held(".v..vvvvvvv..") == ".hhhhhhhhhh.."


def test_knocking_does_not_chop_speech_up() -> None:
    knocks = "s.........." * 10
    assert held(knocks).count("h") <= 12


def test_a_voice_is_heeded_also_while_knocks_are_not() -> None:
    assert held("s..........vvvvvvvv..").endswith("hhhhhhhh..")


def test_a_reply_that_begins_as_a_sentence_ends_is_not_held() -> None:
    assert held("vvvvvvvvvvvvvvv.").endswith("h.")
