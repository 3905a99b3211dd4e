"""Labels of rounds as they are written."""

import pytest

from companion.pattern.labels import find_label, inline_labels
from companion.pattern.reader import read

READ = [
    ("Rnd 5: sc", "Rnd 5", ((5, 5),), "sc"),
    ("RND 5. sc", "RND 5", ((5, 5),), "sc"),
    ("R5-9: 24sc", "R5-9", ((5, 9),), "24sc"),
    ("R5–R9: 24sc", "R5–R9", ((5, 9),), "24sc"),
    ("Rounds 5, 6, 7: sc", "Rounds 5, 6, 7", ((5, 7),), "sc"),
    ("Rnd 5 & 6: sc", "Rnd 5 & 6", ((5, 6),), "sc"),
    ("Rows 2, 4 and 6: sc", "Rows 2, 4 and 6", ((2, 2), (4, 4), (6, 6)), "sc"),
    ("Rnd 12 through 14: sc", "Rnd 12 through 14", ((12, 14),), "sc"),
    ("Rnd 5 - 6 sc in ring", "Rnd 5", ((5, 5),), "6 sc in ring"),
    ("Rnd 6 - 8: sc", "Rnd 6 - 8", ((6, 8),), "sc"),
    ("5th Rnd: sc", "5th Rnd", ((5, 5),), "sc"),
    ("Round four: sc", "Round four", ((4, 4),), "sc"),
    ("2nd and 3rd rounds: sc", "2nd and 3rd rounds", ((2, 3),), "sc"),
    ("Row 1 (RS): sc", "Row 1", ((1, 1),), "sc"),
    ("R1 6sc in MR", "R1", ((1, 1),), "6sc in MR"),
    ("Even rounds: sc", "Even rounds", (), "sc"),
    ("All odd-numbered rows (WS): sc", "All odd-numbered rows", (), "sc"),
    ("Every even rnd - sc", "Every even rnd", (), "sc"),
    ("Buttonhole row: sc", "Buttonhole row", (), "sc"),
    ("First shell round: sc", "First shell round", (), "sc"),
    ("Rnd 1) 6 sc", "Rnd 1", ((1, 1),), "6 sc"),
    ("2. Rnd: sc", "2. Rnd", ((2, 2),), "sc"),
    ("4.-5. Rnd: sc", "4.-5. Rnd", ((4, 5),), "sc"),
    ("3) Row: sc", "3) Row", ((3, 3),), "sc"),
    ("Border. Sc evenly around", "Border", (), "Sc evenly around"),
    ("Next rnd. Sc around", "Next rnd", (), "Sc around"),
]


@pytest.mark.parametrize(("line", "text", "numbers", "rest"), READ, ids=[row[0] for row in READ])
def test_a_label_is_told_from_the_instructions(
    line: str, text: str, numbers: tuple[tuple[int, int], ...], rest: str
) -> None:
    label = find_label(line)
    assert label is not None
    assert (label.text, label.numbers, line[label.body :]) == (text, numbers, rest)


@pytest.mark.parametrize(
    "line",
    [
        "round the edge",
        "Rows of sc",
        "Round Rug",
        "R: repeat",
        "Rowan tree",
        "Ring",
        "",
        "Even rows are blue",
        "At end of row: turn",
        "Border.",
        "2. Round eyes are sewn on",
        "2. Row by row: sew the sides",
        "inc. two stitches in one",
    ],
)
def test_words_that_only_begin_like_a_label_are_none(line: str) -> None:
    assert find_label(line) is None


def test_a_bracket_after_the_number_is_an_aside_only_before_a_colon() -> None:
    aside = find_label("Rnd 5 (30): (3 sc, inc) x 6")
    assert aside is not None
    assert aside.aside_total == 30
    instruction = find_label("Rnd 5 (3 sc, inc) x 6 (30)")
    assert instruction is not None
    assert instruction.aside_total is None
    assert "Rnd 5 (3 sc, inc) x 6 (30)"[instruction.body :].strip() == "(3 sc, inc) x 6 (30)"


def test_several_labels_on_one_line() -> None:
    line = "Rnd 1: 6 sc in MR (6). Rnd 2: inc x 6 (12)"
    first = find_label(line)
    assert first is not None
    ((at, second),) = inline_labels(line, first.body)
    assert line[at:].startswith("Rnd 2")
    assert second.numbers == ((2, 2),)


def test_a_number_after_a_dash_is_a_last_round_only_where_the_next_label_shows_it() -> None:
    rounds = (
        read("Tail\nTerms: US\nR1 - 6 sc in magic ring\nR2 - 6 sc in each st\nR3 - 5 sc around\nR6 sc\n")
        .pieces[0]
        .rounds
    )
    assert [(entry.first, entry.last, entry.stitches) for entry in rounds] == [
        (1, 1, 6),
        (2, 2, 36),
        (3, 5, 36),
        (6, 6, 36),
    ]
