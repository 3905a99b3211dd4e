"""What the place room answers: one frozen dataclass per kind of answer, full of numbers, with no prose.

The wording room turns each into a sentence. Every answer to a move carries the number that was said or heard (`said`)
and what it means (`now`, and `before` where that helps). Counts are stitches given, unless a field says otherwise.
None stands for "unknown", never for zero. A `basis` other than "worked_out" is spoken with "the pattern says".
"""

from __future__ import annotations

from companion.place.answers.counting import (
    AskRipRepeat,
    Beat,
    Corner,
    CountBeat,
    CountBelow,
    Counted,
    LookForShaping,
    Mend,
    MendHow,
    NoMend,
    Shaping,
)
from companion.place.answers.moves import (
    AllDone,
    AskCarry,
    AskRip,
    Chosen,
    Held,
    NotDone,
    NothingToRedo,
    NothingToUndo,
    Reason,
    Redone,
    Refused,
    Released,
    RoundMove,
    RoundStarted,
    StitchesMade,
    StitchMove,
    Undone,
)
from companion.place.answers.parts import (
    ColourAhead,
    Disagrees,
    Grain,
    HoldKind,
    Leaf,
    NoteHere,
    Notice,
    PatternChanged,
    PatternSays,
    PieceBegins,
    PieceEnds,
    PiecesOpen,
    ProblemHere,
    Reading,
    RestHands,
    Run,
    ShapeHere,
    SmallParts,
    TotalUnknown,
    Turning,
    TurningAhead,
    TurningPassed,
    Unreadable,
)
from companion.place.answers.questions import (
    Colour,
    ColourChange,
    Eyes,
    Hook,
    HowTo,
    Needed,
    NextStitch,
    NoRound,
    NoteOfMine,
    Notes,
    OpenProject,
    Progress,
    ProjectEntry,
    Projects,
    Repeats,
    RoundRead,
    RoundsLeft,
    RoundsTotal,
    Scope,
    StitchesDone,
    StitchesLeft,
    TimeLeft,
    ToDo,
    Total,
    WhatNext,
    WhereAmI,
    WorkedInto,
    Yarn,
)
from companion.place.answers.talk import (
    Again,
    Beyond,
    EventNoted,
    Hearsay,
    Helped,
    Logged,
    Measured,
    Noted,
    Opened,
    Paused,
    ReminderSet,
    Resumed,
    Saved,
    Setting,
    SettingChanged,
    ShapeSet,
    Silenced,
    Spelled,
)

Answer = (
    RoundStarted
    | StitchesMade
    | AllDone
    | Undone
    | Redone
    | NothingToUndo
    | NothingToRedo
    | Refused
    | AskRip
    | AskCarry
    | Chosen
    | NotDone
    | Held
    | Released
    | StitchesLeft
    | StitchesDone
    | RoundsLeft
    | RoundsTotal
    | Repeats
    | Total
    | NoRound
    | WorkedInto
    | WhatNext
    | NextStitch
    | RoundRead
    | WhereAmI
    | Progress
    | TimeLeft
    | Hook
    | Yarn
    | Colour
    | ColourChange
    | Eyes
    | ToDo
    | Needed
    | HowTo
    | Notes
    | Projects
    | OpenProject
    | Counted
    | LookForShaping
    | CountBelow
    | AskRipRepeat
    | Beat
    | CountBeat
    | Opened
    | Hearsay
    | Again
    | SettingChanged
    | Helped
    | Silenced
    | Spelled
    | Paused
    | Resumed
    | Saved
    | Noted
    | ReminderSet
    | EventNoted
    | Logged
    | Measured
    | Beyond
    | ShapeSet
)

__all__ = [
    "Again",
    "AllDone",
    "Answer",
    "AskCarry",
    "AskRip",
    "AskRipRepeat",
    "Beat",
    "Beyond",
    "Chosen",
    "Colour",
    "ColourAhead",
    "ColourChange",
    "Corner",
    "CountBeat",
    "CountBelow",
    "Counted",
    "Disagrees",
    "EventNoted",
    "Eyes",
    "Grain",
    "Hearsay",
    "Held",
    "Helped",
    "HoldKind",
    "Hook",
    "HowTo",
    "Leaf",
    "Logged",
    "LookForShaping",
    "Measured",
    "Mend",
    "MendHow",
    "Needed",
    "NextStitch",
    "NoMend",
    "NoRound",
    "NotDone",
    "NoteHere",
    "NoteOfMine",
    "Noted",
    "Notes",
    "NothingToRedo",
    "NothingToUndo",
    "Notice",
    "OpenProject",
    "Opened",
    "PatternChanged",
    "PatternSays",
    "Paused",
    "PieceBegins",
    "PieceEnds",
    "PiecesOpen",
    "ProblemHere",
    "Progress",
    "ProjectEntry",
    "Projects",
    "Reading",
    "Reason",
    "Redone",
    "Refused",
    "Released",
    "ReminderSet",
    "Repeats",
    "RestHands",
    "Resumed",
    "RoundMove",
    "RoundRead",
    "RoundStarted",
    "RoundsLeft",
    "RoundsTotal",
    "Run",
    "Saved",
    "Scope",
    "Setting",
    "SettingChanged",
    "ShapeHere",
    "ShapeSet",
    "Shaping",
    "Silenced",
    "SmallParts",
    "Spelled",
    "StitchMove",
    "StitchesDone",
    "StitchesLeft",
    "StitchesMade",
    "TimeLeft",
    "ToDo",
    "Total",
    "TotalUnknown",
    "Turning",
    "TurningAhead",
    "TurningPassed",
    "Undone",
    "Unreadable",
    "WhatNext",
    "WhereAmI",
    "WorkedInto",
    "Yarn",
]
