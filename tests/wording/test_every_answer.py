"""Every kind of answer has wording, at every verbosity, without a slot left open or a figure left in it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import get_args

import pytest

from companion.pattern.model import Chain, InOne, Note, Pattern, Piece, Problem, Repeat, Round, Span, Total, Work
from companion.place import answers as a
from companion.place.where import Where
from companion.wording.sentences import VERBOSITIES, sentences
from companion.wording.speaker import Wording

HERE = Span(1, 1, 1, 2)
INCREASE = Work("sc", 1, in_one=2)
ROUND_FIVE = Round(
    label="Rnd 5",
    kind="round",
    first=5,
    last=5,
    instructions=(Repeat(6, (Work("sc", 3), INCREASE)),),
    steps=(),
    worked_into=24,
    stitches=30,
    declared=Total(30),
    basis="worked_out",
    text="(3 sc, inc) x 6",
    span=HERE,
)
PATTERN = Pattern(
    title="Test Figure",
    terms="US",
    pieces=(Piece("BODY", 1, (ROUND_FIVE,), HERE), Piece("EAR", 2, (ROUND_FIVE,), HERE)),
    problems=(),
    source="",
)
IN_ROWS = replace(PATTERN, pieces=tuple(replace(p, rounds=(replace(ROUND_FIVE, kind="row"),)) for p in PATTERN.pieces))
EYES = Note("eyes", "Place the eyes between rounds 6 and 7.", between_rounds=(6, 7), stitches_apart=5)


def place(stitch: int = 12, stitches: int | None = 30, basis: str = "worked_out", **more: object) -> Where:
    fields: dict[str, object] = {
        "piece": "BODY",
        "copy": 1,
        "copies": 1,
        "kind": "round",
        "label": "Rnd 5",
        "round": 5,
        "nth": 1,
        "of": 1,
        "last_round": 17,
        "stitch": stitch,
        "stitches": stitches,
        "repeat": 3,
        "repeats": 6,
        "basis": basis,
    }
    return Where(**{**fields, **more})  # type: ignore[arg-type]


NOW = place()
START = place(0)
FULL = place(30)
UNKNOWN = place(12, None, "unknown")
SAYS = place(12, 30, "pattern_says")
RUN = a.Run(Work("sc", 3), 3, 3, 3, 13, 15)
HALF = a.Run(INCREASE, 1, 1, 0, 14, 14, within=1)
GROUP = a.Run(InOne((Work("sc", 1), Work("hdc", 1))), 2, 3, 1, 14, 16, before=(Chain(2),), within=1)
READING = a.Reading(START, "round", ROUND_FIVE, None)
BY_REPEAT = a.Reading(
    START, "repeat", ROUND_FIVE, None, runs=(a.Run(Work("sc", 3), 3, 3, 3, 1, 3, repeat=1, repeats=6),)
)
ASSEMBLY = place(0, None, "unknown", kind="assembly", piece="assembly", label="Sew the ears on.", round=None)
STEP = a.Reading(ASSEMBLY, "round", None, Note("sew", "Sew the ears on."))
TURNING = a.Turning("eyes", EYES.text, "pattern", (6, 7), 5, last_chance=14)
TURNINGS = [
    TURNING,
    a.Turning("eyes", "", "practice", (6, 7), 5),
    a.Turning("stuffing", "", "practice"),
    a.Turning("stuffing", "Stuff the body firmly.", "pattern", last_chance=17),
    a.Turning("colour", "", "pattern", colour="green"),
    a.Turning("colour", "Change yarn.", "pattern"),
    a.Turning("reminder", "try it on", "maker"),
    *(a.Turning(kind, "", "pattern") for kind in ("tail", "sew")),
]
NOTICES: list[a.Notice] = [
    a.Disagrees(36, 35),
    a.PatternSays(30),
    a.TotalUnknown(),
    a.NoteHere(EYES),
    a.NoteHere(Note("other", "Work loosely.", "before")),
    a.ColourAhead(30, "green", at_round_end=True),
    a.ColourAhead(12, "green", at_round_end=False),
    a.ColourAhead(None, "green", at_round_end=False),
    *(a.ShapeHere(shape) for shape in ("spiral", "joined", "turned", None)),
    a.PieceBegins("EAR", 2, 2, 4),
    a.PieceBegins("BODY", 1, 1, 0),
    a.PieceEnds("BODY", 1, 1, 17, 240),
    a.PieceEnds("BODY", 1, 1, 17, None),
    a.SmallParts(),
    a.RestHands(40),
    a.PiecesOpen((("EAR", 2),)),
    a.TurningAhead(TURNING),
    a.TurningPassed(TURNING),
    a.Unreadable(("sk & hop",)),
    a.ProblemHere(Problem(6, 8, "error", "does_not_fit", "Rnd 2 takes 8 stitches, more than the 6 that are there.")),
    a.PatternChanged("Rnd 4", moved=True),
    a.PatternChanged("Rnd 5", moved=False),
]
STARTED = a.RoundStarted("next", None, NOW, START, READING, done=FULL)
RIP = a.Mend("rip")
LATER = a.Mend("later", 6, "fewer_increases", 1, ((5, 35), (6, 41), (7, 41), (8, 41)))
BELOW = a.CountBelow(NOW, -1, 30, 4, (RIP, LATER))


def moves_made() -> list[a.Answer]:
    return [
        a.StitchesMade(by, 3, NOW, where, RUN, fewer=by == "have_done", reading=BY_REPEAT)
        for by in get_args(a.StitchMove)
        for where in (NOW, UNKNOWN, SAYS, FULL, place(13, within=1))
    ]


def rounds_started() -> list[a.Answer]:
    return [
        STARTED,
        *(a.RoundStarted(by, 2, NOW, START, READING, lost=40, notices=tuple(NOTICES)) for by in get_args(a.RoundMove)),
        *(a.RoundStarted(by, None, NOW, NOW, STEP) for by in get_args(a.RoundMove) if by != "ripped"),
        a.RoundStarted("piece", None, NOW, UNKNOWN, READING),
        a.RoundStarted("ripped", 2, NOW, START, READING),
        a.RoundStarted("next", None, NOW, ASSEMBLY, STEP, done=UNKNOWN),
        a.RoundStarted("next", None, NOW, ASSEMBLY, STEP, done=ASSEMBLY),
        a.RoundStarted("next", None, NOW, START, BY_REPEAT, done=place(30, 30, "pattern_says")),
    ]


EXAMPLES: list[a.Answer] = [
    *rounds_started(),
    *moves_made(),
    a.AllDone(FULL, 2, 400, (a.NoteHere(Note("close", "Gather the front loops.")),)),
    a.AllDone(ASSEMBLY, 2, None),
    a.Undone("have_done", 12, NOW, START, 3),
    a.Undone("a_command_to_come", None, NOW, START, 3),
    a.Redone("have_done", 12, START, NOW, 0),
    a.NothingToUndo(START),
    a.NothingToRedo(NOW),
    *(a.Refused(reason, NOW, "have_done", 40, 1, 17, 2, "nut", ("BODY", "EAR")) for reason in a.Reason),
    *(a.Refused(reason, NOW, "more", 40, 1, 17, 2, "nut", ("BODY", "EAR")) for reason in a.Reason),
    *(a.Refused(reason, UNKNOWN, "have_done", 40) for reason in a.Reason),
    *(a.Refused(reason, SAYS, "have_done", 40, name="EAR") for reason in a.Reason),
    a.AskRip(2, NOW, START, 40),
    a.AskRip(2, NOW, START, None),
    a.AskCarry("Rnd 5", 5, 12, NOW),
    a.Chosen(NOW, 35, printed=True),
    a.Chosen(NOW, 36, printed=False),
    a.NotDone(NOW),
    a.NotDone(NOW, lapsed=True),
    *(a.Held(FULL, turning, 1, again=False, notices=(a.SmallParts(),)) for turning in TURNINGS),
    a.Held(FULL, TURNING, 0, again=True),
    *(a.Released(how, TURNING, STARTED) for how in ("done_that", "skip_it", "later")),
    *(a.StitchesLeft(scope, NOW, 12, 18, 30, "worked_out", 3) for scope in get_args(a.Scope)),
    *(a.StitchesLeft(scope, NOW, 12, None, None, "unknown") for scope in get_args(a.Scope)),
    a.StitchesLeft("piece", NOW, 12, 18, 30, "worked_out"),
    a.StitchesLeft("round", SAYS, 12, 18, 30, "pattern_says"),
    a.StitchesLeft("project", NOW, 12, 18, 30, "worked_out", 3, unknown_rounds=2),
    *(a.StitchesDone(where) for where in (NOW, UNKNOWN, SAYS)),
    a.RoundsLeft(NOW, 3, 1),
    a.RoundsLeft(NOW, 0, 0),
    a.RoundsTotal(NOW, 17, 1),
    *(a.Repeats(asked, NOW, 3, 6, left) for asked in ("which_repeat", "repeats_left") for left in (4, 1, 0)),
    a.Repeats("which_repeat", NOW, None, None, None),
    *(a.Total(which, NOW, NOW, 30, "worked_out", 30) for which in ("this", "last", "next", "numbered")),
    a.Total("this", NOW, NOW, 30, "worked_out", 31),
    a.Total("this", NOW, NOW, 30, "pattern_says", 30),
    a.Total("this", NOW, NOW, None, "unknown", None),
    a.Total("this", NOW, NOW, 12, "worked_out", None, chain_spaces=6),
    a.NoRound("last", NOW),
    a.NoRound("next", NOW),
    a.WorkedInto(NOW, 24, None),
    a.WorkedInto(NOW, 0, None),
    a.WorkedInto(NOW, None, None),
    a.WorkedInto(NOW, 24, "the front loops of round 3"),
    a.WorkedInto(NOW, None, "both layers"),
    a.WhatNext(NOW, RUN, HALF, None),
    a.WhatNext(NOW, GROUP, None, None),
    a.WhatNext(FULL, None, None, READING),
    a.WhatNext(FULL, None, None, None),
    *(a.NextStitch(asked, NOW, run) for asked in ("what_stitch", "after_that") for run in (RUN, None)),
    a.RoundRead(READING, tuple(NOTICES)),
    a.RoundRead(STEP),
    a.RoundRead(BY_REPEAT, tuple(NOTICES)),
    *(
        a.WhereAmI(where, state, TURNING)
        for where in (NOW, START, UNKNOWN, SAYS, ASSEMBLY)
        for state in ("held", "paused")
    ),
    a.Progress(40, 400, 10, 0, 0, 2),
    a.Progress(40, 400, 10, 2, 1, 2),
    a.Progress(40, 400, None, 9, 0, 2),
    a.TimeLeft(300, 40.0, 55.0, 9, 1),
    a.TimeLeft(300, None, None, 0, 0),
    a.Hook("2.5 mm"),
    a.Hook(""),
    a.Hook("2.5 mm", "3 mm"),
    a.Yarn("DK", (("grey", "pebble"),), double=True),
    a.Yarn(""),
    a.Colour(NOW, None),
    a.Colour(NOW, "green"),
    a.Colour(NOW, "green", "moss"),
    a.ColourChange(NOW, FULL, 30, "green", at_round_end=True),
    a.ColourChange(NOW, FULL, 12, "green"),
    a.ColourChange(NOW, None, None, None),
    a.Eyes(NOW, (("BODY", EYES),)),
    a.Eyes(NOW, (("", Note("eyes", "Two black eyes.")),)),
    a.Eyes(NOW, ()),
    a.ToDo((("EAR", 2, 4), ("BODY", 1, 3)), (TURNING,), 2),
    a.ToDo((), (), 0),
    a.Needed(("25 g of grey yarn", "two 6 mm eyes"), "2.5 mm", "DK", "28 sts to 10 cm", (), small_parts=True),
    a.Needed((), "", "", "", ("Mind the needle.",), small_parts=False),
    a.HowTo("decrease"),
    a.HowTo("single crochet", "left"),
    a.HowTo("loop the loop"),
    a.Notes((a.NoteOfMine("use the 3 mm hook here", NOW, 0.0),), ((8, "try it on"),)),
    a.Notes(tuple(a.NoteOfMine("3 mm", NOW, 0.0, kind) for kind in ("ball", "hook", "strands", "tail", "label")), ()),
    a.Notes((), ()),
    a.Projects(
        (a.ProjectEntry("Mouse", "BODY", 5, 12, 0.0, True), a.ProjectEntry("Pot 2", "SLEEVE", None, 0, 0.0, False))
    ),
    a.Projects(()),
    a.OpenProject("Mouse", "mouse.txt"),
    *(
        a.Counted(counted, 36, counted - 36, against, NOW, basis, 30, gives, asks, then)
        for counted in (35, 36, 38)
        for against in ("total", "made", "below")
        for basis in ("worked_out", "pattern_says")
        for gives, asks, then in ((6, True, None), (None, False, BELOW))
    ),
    a.Counted(35, None, None, "total", UNKNOWN, "unknown"),
    a.Counted(23, 24, -1, "below", START, "worked_out", 24, against_this=-7),
    a.Counted(37, 38, -1, "below", START, "worked_out", 38, against_this=7),
    a.Counted(23, 24, -1, "below", UNKNOWN, "worked_out", 24),
    *(
        a.LookForShaping(NOW, off, shaping, 6, plain, gap, added, (RIP, LATER))
        for off in (-1, 2)
        for shaping in get_args(a.Shaping)
        for plain, gap in ((5, 12), (5, None), (0, 1), (0, None), (None, None))
        for added in (True, False)
    ),
    *(
        a.CountBelow(where, -1, below, number, (RIP, LATER))
        for where in (NOW, place(12, repeats=None, repeat=None))
        for below, number in ((30, 4), (30, None), (0, None), (None, None))
    ),
    *(a.CountBelow(NOW, -1, 30, 4, (RIP,), why) for why in get_args(a.NoMend)),
    *(a.CountBelow(NOW, 1, 30, 4, (a.Mend("later", 6, how, 1, ((5, 37), (6, 42))),)) for how in get_args(a.MendHow)),
    a.AskRipRepeat(4, NOW, START, 12),
    a.CountBeat(NOW, 13, 15, "run", RUN),
    a.CountBeat(NOW, 13, 13, "run", RUN),
    a.CountBeat(START, 1, 3, "run", RUN),
    a.CountBeat(UNKNOWN, 13, 13, "run", None),
    *(a.Beat(15, NOW, corner, run) for corner in ("run", "repeat", "round", None) for run in (RUN, None)),
    a.Beat(30, FULL, "round", None),
    a.Opened("Mouse", True, False, START, READING, (a.ShapeHere("spiral"),), problems=2),
    *(
        a.Opened("Mouse", False, hearsay, where, READING, (), "kept/aside.db", TURNING)
        for hearsay in (True, False)
        for where in (NOW, START, UNKNOWN, SAYS, ASSEMBLY)
    ),
    *(a.Hearsay(where, 15) for where in (NOW, START, UNKNOWN, SAYS, ASSEMBLY)),
    a.Again(STARTED, 1),
    a.SettingChanged("speed", 120),
    a.SettingChanged("speed", 200, at_limit=True),
    a.SettingChanged("volume", 80),
    *(a.SettingChanged("tones", value) for value in ("on", "off")),
    *(a.SettingChanged("answers", value) for value in ("tones", "print", "voice")),
    a.SettingChanged("voice", "another"),
    *(a.SettingChanged("attention", value) for value in ("clementine", "")),
    *(a.Spelled(answer) for answer in (STARTED, a.OpenProject("Test Figure", ""))),
    a.SettingChanged("volume", 0, at_limit=True),
    *(a.SettingChanged("verbosity", value) for value in VERBOSITIES),
    *(a.SettingChanged("grain", value, reading=BY_REPEAT) for value in get_args(a.Grain)),
    *(a.SettingChanged("hand", value) for value in ("right", "left")),
    a.SettingChanged("rest_minutes", 30),
    a.SettingChanged("rest_minutes", 0),
    a.SettingChanged("tempo", 40),
    *(
        a.Helped(state, frozenset({state}))
        for state in ("listening", "asking", "choosing", "held", "paused", "writing", "idle")
    ),
    a.Silenced(),
    a.Paused(NOW),
    a.Resumed(NOW, 20, RUN, TURNING),
    a.Resumed(FULL, 20, None),
    a.Saved(NOW),
    a.Noted("use 2 strands", NOW),
    a.ReminderSet("try it on", 8, NOW),
    *(a.EventNoted(kind, "3 mm", NOW) for kind in ("ball", "hook", "strands", "tail", "label")),
    a.EventNoted("label", "moss", NOW, "green"),
    *(a.Logged(kind, text, NOW, 31, 2) for kind in ("error", "unclear", "count", "yarn") for text in ("", "35 here")),
    a.Measured(20, 22),
    a.Measured(20),
    a.Measured(100, metres=6),
    a.Beyond(a.Measured(20)),
    *(a.ShapeSet(shape, NOW) for shape in ("spiral", "joined", "turned")),
]


def test_every_kind_of_answer_is_among_the_examples() -> None:
    assert {type(example) for example in EXAMPLES} == set(get_args(a.Answer))


def test_every_kind_of_notice_is_among_the_examples() -> None:
    assert {type(notice) for notice in NOTICES} == set(get_args(a.Notice))


@pytest.mark.parametrize("verbosity", VERBOSITIES)
@pytest.mark.parametrize("terms", ["US", "UK"])
def test_every_answer_is_worded_in_whole_sentences(verbosity: str, terms: str) -> None:
    wording = Wording(PATTERN, terms=terms, verbosity=verbosity)  # type: ignore[arg-type]
    for example in EXAMPLES:
        said = wording.say(example)
        if isinstance(example, a.Silenced):
            assert said == ""
            continue
        assert re.fullmatch(r"[A-Z].*[.?]", said), (said, example)
        assert not re.search(r"[{}\d_]|\bNone\b(?! (after|left))|  |\.\.|\.[A-Za-z]|[,;:]\.", said), (said, example)


@pytest.mark.parametrize("verbosity", VERBOSITIES)
def test_a_reply_to_a_move_says_what_was_made_and_what_is_left(verbosity: str) -> None:
    wording = Wording(PATTERN, verbosity=verbosity)  # type: ignore[arg-type]
    assert wording.say(a.StitchesMade("have_done", 12, START, NOW, RUN)) == "Twelve made, eighteen left."
    assert wording.say(a.StitchesMade("more", 3, place(9), NOW, RUN)) == "Three more: twelve made, eighteen left."
    assert wording.say(a.StitchesMade("at_stitch", 12, START, SAYS, RUN)) == (
        "Twelve made. The pattern says thirty stitches, so eighteen left."
    )


NOT_WORKED_OUT = [
    a.StitchesLeft("round", SAYS, 12, 18, 30, "pattern_says"),
    a.StitchesDone(SAYS),
    a.Total("this", NOW, NOW, 30, "pattern_says", 30),
    a.WhereAmI(SAYS, "listening"),
    a.Hearsay(SAYS, 12),
    a.StitchesMade("more", 3, NOW, SAYS, None),
    a.RoundStarted("next", None, NOW, START, READING, done=SAYS),
]


@pytest.mark.parametrize("basis_answer", NOT_WORKED_OUT, ids=lambda answer: type(answer).__name__)
@pytest.mark.parametrize("verbosity", VERBOSITIES)
def test_what_was_not_worked_out_comes_with_the_pattern_says(basis_answer: a.Answer, verbosity: str) -> None:
    said = Wording(PATTERN, verbosity=verbosity).say(basis_answer)  # type: ignore[arg-type]
    assert "pattern" in said
    assert "says" in said


def test_every_sentence_of_the_tables_is_used_by_some_answer() -> None:
    """A sentence that nobody can hear is a leftover. Other groups than these are tested where they are asked for."""
    seen: set[str] = set()
    table = sentences()

    class Watched(dict):  # type: ignore[type-arg]
        def __getitem__(self, key: str) -> object:
            seen.add(key)
            return super().__getitem__(key)

    original = dict(table)
    watched = Watched(original)
    patch = pytest.MonkeyPatch()
    patch.setattr("companion.wording.tools.sentences", lambda: watched)
    try:
        for pattern in (PATTERN, IN_ROWS):
            wording = Wording(pattern)
            for example in EXAMPLES:
                wording.say(example)
    finally:
        patch.undo()
    by_name = ("session.", "commands.", "cautions.", "dictation.", "sums.")
    assert sorted(key for key in original if not key.startswith(by_name) and key not in seen) == []
