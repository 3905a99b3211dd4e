from __future__ import annotations

import pytest

from companion.phrases.names import other_number, spoken_forms
from companion.phrases.phrasebook import Phrasebook


def said_for(pieces: list[str], said: str) -> str | None:
    commands = Phrasebook(pieces).parse(f"go to {said}", ["idle"])
    return str(commands[0].slots["piece"]) if commands else None


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("Body", "the body"),
        ("The Body", "body"),
        ("Ears (make 2)", "the ears"),
        ("Ears (make 2)", "the ear"),
        ("Leg 2", "leg two"),
        ("Leg 2", "leg 2"),
        ("LEG #2", "leg two"),
        ("Head & collar", "the head and collar"),
        ("Mouse head", "the head"),
        ("Crème bow", "the creme bow"),
        ("Bear's hat", "the bear's hat"),
        ("Bear's hat", "the bears hat"),
        ("T-shirt", "the t shirt"),
        ("Base/bottom", "the base bottom"),
        ("Patch", "the patches"),
        ("Berry", "the berries"),
    ],
)
def test_the_slot_holds_the_name_as_printed(printed: str, said: str) -> None:
    assert said_for([printed, "Another thing"], said) == printed


def test_the_fuller_name_wins() -> None:
    pieces = ["Ear", "Inner ear"]
    assert said_for(pieces, "the ear") == "Ear"
    assert said_for(pieces, "the inner ear") == "Inner ear"


def test_a_name_that_two_share_stands_for_itself_so_that_it_can_be_asked_about() -> None:
    pieces = ["Left ear", "Right ear"]
    assert said_for(pieces, "the left ear") == "Left ear"
    assert said_for(pieces, "the ear") == "ear"


def test_leg_one_and_leg_two_are_told_apart() -> None:
    pieces = ["Leg 1", "Leg 2", "Leg 12"]
    assert [said_for(pieces, f"leg {n}") for n in ("one", "two", "twelve")] == pieces


def test_unknown_pieces_are_not_guessed_at() -> None:
    assert said_for(["Body", "Head"], "the bod") is None
    assert said_for([], "the body") is None


def test_a_name_in_no_letters_of_ours_is_left_out() -> None:
    assert spoken_forms(["耳", "Body"]) == [("body", "Body"), ("bodies", "Body")]


def test_a_project_is_opened_by_its_name(book: Phrasebook) -> None:
    (command,) = book.parse("open the pocket mouse")
    assert command.slots == {"project": "The pocket mouse"}


@pytest.mark.parametrize(
    ("one", "other"), [("ear", "ears"), ("patches", "patch"), ("body", "bodies"), ("boss", "bosses")]
)
def test_singular_and_plural(one: str, other: str) -> None:
    assert list(other_number(one)) == [other]
