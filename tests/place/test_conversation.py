"""The state machine of the conversation: its table is whole, and the talk goes by it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.place import conversation
from companion.place.answers import Hearsay, NotDone, RestHands
from companion.place.conversation import (
    CONTEXTS,
    TRANSITIONS,
    Conversation,
    ImpossibleTransitionError,
    Signal,
    State,
    as_markdown,
)
from companion.place.work import Work

Open = Callable[[], Work]


def test_every_state_can_be_reached_and_left() -> None:
    reached = {State.LISTENING}
    frontier = [Conversation()]
    seen = {Conversation()}
    while frontier:
        here = frontier.pop()
        for state, signal in TRANSITIONS:
            if state is not here.state:
                continue
            there = here.after(signal)
            reached.add(there.state)
            if there not in seen and len(there.beneath) < 5:
                seen.add(there)
                frontier.append(there)
    assert reached == set(State)
    assert {state for state, _ in TRANSITIONS} == set(State)
    assert set(CONTEXTS) == set(State) - {State.SPEAKING}


def test_an_interruption_goes_back_to_what_it_interrupted() -> None:
    held = Conversation().after(Signal.HOLD)
    asking = held.after(Signal.ASK)
    assert asking.after(Signal.SPEAK).settled is State.ASKING
    assert asking.after(Signal.SPEAK).after(Signal.SILENCE) == asking
    assert asking.after(Signal.LAPSE) == held
    assert held.after(Signal.PAUSE).after(Signal.RESUME) == held
    assert held.after(Signal.PAUSE).after(Signal.END).state is State.OFF


def test_what_the_table_does_not_have_is_a_fault() -> None:
    with pytest.raises(ImpossibleTransitionError):
        Conversation().after(Signal.RESUME)
    with pytest.raises(ImpossibleTransitionError):
        Conversation().after(Signal.HOLD).after(Signal.PAUSE).after(Signal.ANSWER)


def test_the_page_of_the_documents_is_made_from_the_table() -> None:
    page = Path(conversation.__file__).with_suffix(".md").read_text(encoding="utf-8")
    assert page == as_markdown(), (
        "make it again: python -m companion.place.conversation > companion/place/conversation.md"
    )
    assert page.count("-->") == len(TRANSITIONS) + 2


def test_yes_and_no_are_in_the_grammar_only_while_a_question_is_open(open_acorn: Open) -> None:
    work = open_acorn()
    work.handle("go_to_round", {"round": 3})
    assert "asking" not in work.contexts
    assert work.handle("rip_back", {"rounds": 1}).contexts == {"idle", "asking"}
    assert "asking" not in work.handle("no").contexts


def test_contexts_follow_the_state(patterns: dict[str, Any], tmp_path: Any) -> None:
    with Work.open(patterns["figure"](), tmp_path) as work:
        assert work.contexts == {"idle"}
        work.handle("go_to_round", {"round": 6})
        assert work.handle("next").contexts == {"idle", "held"}
        assert work.handle("rip_back", {"rounds": 1}).contexts == {"idle", "held", "asking"}
        work.handle("no")
        assert work.handle("pause").contexts == {"paused"}
        work.handle("resume")
        work.handle("go_to_piece", {"piece": "Arm"})
        assert work.handle("next").contexts == {"idle", "choosing"}
        assert work.handle("count_with_me").contexts == {"idle", "counting"}
        assert work.handle("beat").contexts == {"idle", "counting"}
        assert work.handle("next").contexts == {"idle", "held"}
        assert work.handle("goodbye").contexts == frozenset()


def test_a_question_lapses_by_the_clock_but_not_while_it_is_being_asked(open_acorn: Open, clock: Any) -> None:
    work = open_acorn()
    work.handle("go_to_round", {"round": 3})
    work.handle("rip_back", {"rounds": 1})
    work.speaking(True)
    assert work.state is State.ASKING
    clock.pass_(20)
    assert work.lapse() is None
    work.speaking(False)
    clock.pass_(7)
    assert work.lapse() is None
    clock.pass_(2)
    lapsed = work.lapse()
    assert lapsed is not None
    assert isinstance(lapsed.answer, NotDone)
    assert lapsed.state == "listening"
    assert work.place.round == 3


def test_a_command_cuts_a_reply_short(open_acorn: Open) -> None:
    work = open_acorn()
    work.handle("go_to_round", {"round": 3})
    work.handle("rip_back", {"rounds": 1})
    work.speaking(True)
    assert work.handle("yes").place == work.place
    assert work.place.round == 2
    work.speaking(False)
    assert work.state is State.LISTENING


def test_after_ten_minutes_the_place_is_told_as_hearsay_first(open_acorn: Open, clock: Any) -> None:
    work = open_acorn()
    work.handle("have_done", {"stitches": 4})
    clock.pass_(599)
    assert work.handle("stitches_left").first is None
    clock.pass_(600)
    outcome = work.handle("next")
    assert isinstance(outcome.first, Hearsay)
    assert (outcome.first.now.round, outcome.first.now.stitch, outcome.first.minutes) == (1, 4, 10)
    assert work.place.round == 2


@pytest.mark.parametrize(("away", "hearsay"), [(30, False), (601, True), (86_400, True)])
def test_what_is_said_at_the_start_depends_on_the_time_away(
    open_acorn: Open, clock: Any, away: float, hearsay: bool
) -> None:
    work = open_acorn()
    first: Any = work.opening().answer
    assert first.new
    assert not first.hearsay
    work.handle("have_done", {"stitches": 4})
    clock.pass_(away)
    again: Any = open_acorn().opening().answer
    assert not again.new
    assert again.hearsay is hearsay
    assert (again.now.round, again.now.stitch) == (1, 4)


def test_long_work_brings_a_word_about_resting_the_hands(open_acorn: Open, clock: Any) -> None:
    work = open_acorn()
    work.handle("rest_every", {"minutes": 20})
    told = []
    for _ in range(50):
        clock.pass_(60)
        told.append(work.handle("stitches_left").last)
    assert [rest for rest in told if rest] == [RestHands(20), RestHands(20)]
    work.handle("rest_every", {"minutes": 0})
    for _ in range(50):
        clock.pass_(60)
        assert work.handle("stitches_left").last is None


def test_settings_are_remembered_for_all_projects(open_acorn: Open) -> None:
    work = open_acorn()
    for _ in range(9):
        last: Any = work.handle("slower").answer
    assert (last.value, last.at_limit) == (55, True)
    work.handle("numbers_only")
    assert (open_acorn().settings.speed, open_acorn().settings.verbosity) == (55, "numbers")
    (work.state_dir / "settings.json").write_text("{ broken")
    assert open_acorn().settings.speed == 100
