"""Everything of a pattern beside its rounds: title, materials, notes at their place, eyes, assembly."""

import pytest

from companion.pattern.notes import note_of
from companion.pattern.reader import read

PATTERN = """\
# Clockwork Hedgehog
Design by Nobody In Particular
© 2020 Nobody In Particular. For your own use.

Skill level: easy

**Materials**
- 30 g of brown yarn, DK weight
- two 6 mm safety eyes
- Hook: 3 mm

Terms: US
Gauge: 24 sts and 26 rounds to 10 cm
Caution: safety eyes are small parts.

Abbreviations
sc = single crochet
spike: a stitch of the writer's own

BODY (make 1, in brown)
Worked in a spiral.
Rnd 1: 6 sc in magic ring [6]
Pull the ring tight.
Rnd 2: inc x 6 [12]
Rnds 3-5: sc around [12]
Place the eyes between rounds 3 and 4, four stitches apart.
Change to cream.
Rnd 6: (sc, dec) x 4 [8] Stuff firmly.
Fasten off, leaving a long tail.

FOOT (make 4)
Rnd 1: 5 sc in magic ring [5]
Rnd 2: sc around [5]

ASSEMBLY
1. Sew the feet to the body. Use the long tails.
2. Follow the colour chart for the face.
"""


def test_what_a_pattern_says_beside_its_rounds_is_kept() -> None:
    pattern = read(PATTERN)
    assert pattern.title == "Clockwork Hedgehog"
    assert pattern.designer == "Nobody In Particular"
    assert pattern.rights.startswith("© 2020")
    assert pattern.hook == "3 mm"
    assert pattern.gauge == "24 sts and 26 rounds to 10 cm"
    assert pattern.materials == ("30 g of brown yarn, DK weight", "two 6 mm safety eyes")
    assert pattern.cautions == ("safety eyes are small parts.",)
    assert ("sc", "single crochet") in pattern.abbreviations
    assert (pattern.terms, pattern.terms_stated) == ("US", True)


def test_pieces_have_their_name_number_colour_and_shape() -> None:
    body, foot = read(PATTERN).pieces
    assert (body.name, body.make, body.colour, body.shape) == ("BODY", 1, "brown", "spiral")
    assert (foot.name, foot.make) == ("FOOT", 4)


def test_notes_stand_at_their_round() -> None:
    rounds = read(PATTERN).pieces[0].rounds
    assert [note.text for note in rounds[0].notes] == ["Pull the ring tight."]
    eyes, colour = rounds[2].notes
    assert (eyes.kind, eyes.between_rounds, eyes.stitches_apart, eyes.when) == ("eyes", (3, 4), 4, "after")
    assert colour.kind == "colour"
    assert rounds[3].colour == "cream"
    assert [note.kind for note in rounds[3].notes] == ["tail"]


def test_a_round_called_by_a_name_of_its_own_is_a_round() -> None:
    rows = "Row 1: ch 11, sc in 2nd ch from hook and across (10)\n"
    pattern = read(f"Strap\nTerms: US\n{rows}Buttonhole row: ch 1, turn, sc 3, ch 2, sk 2, sc in each st to end\n")
    assert [(entry.label, entry.stitches) for entry in pattern.pieces[0].rounds] == [
        ("Row 1", 10),
        ("Buttonhole row", 8),
    ]


def test_stitches_among_the_rounds_that_nobody_counts_are_told_of() -> None:
    pattern = read("Nut\nTerms: US\nRnd 1: 6 sc in ring (6)\n2 sc in next 6 sts\nRnd 2: sc around (6)\nFasten off.\n")
    (found,) = [problem for problem in pattern.problems if problem.kind == "stitches_in_note"]
    assert found.line == 4
    assert "2 sc in next 6 sts" in found.message


_CONE = "Cone\nTerms: US\nRnd 1: 6 sc in ring (6)\nRnd 2: (sc, inc) x 3 (9)\n{}\nNext rnd: sc around\n"


@pytest.mark.parametrize(
    ("words", "after"),
    [
        ("Increase by 3 stitches every round until you have 21 stitches.", 21),
        ("Continue increasing in this manner until Rnd 8 (27).", 27),
        ("Repeat Rnd 2 until the piece measures 10 cm.", None),
        ("Work 10 more rounds even.", 9),
        ("Sc around until the piece is as long as the first.", 9),
    ],
)
def test_rounds_that_are_not_written_out_are_told_of(words: str, after: int | None) -> None:
    pattern = read(_CONE.format(words))
    assert "rounds_not_written" in {problem.kind for problem in pattern.problems}
    assert pattern.pieces[0].rounds[-1].stitches == after


@pytest.mark.parametrize("words", ["Continue stuffing until firm.", "Pull the tail until the ring is closed."])
def test_sentences_that_stand_for_no_rounds_are_notes(words: str) -> None:
    assert not read(_CONE.format(words)).problems


def test_a_section_has_numbers_of_its_own_and_goes_on_with_what_was_made() -> None:
    rounds = "Rnd 1: 12 sc in ring (12)\nRnd 2: inc around (24)\n"
    ribbing = "Ribbing rnd 1: *FPdc around next st, BPdc around next st; rep from * around\n"
    pattern = read(f"Cap\nTerms: US\n{rounds}{ribbing}Ribbing rnds 2-3: Repeat ribbing rnd 1.\n")
    assert [(piece.name, [entry.stitches for entry in piece.rounds]) for piece in pattern.pieces] == [
        ("Cap", [12, 24]),
        ("Ribbing", [24, 24]),
    ]
    assert not pattern.problems


def test_a_section_for_which_yarn_is_joined_goes_on_with_nothing() -> None:
    rounds = "Rnd 1: 12 sc in ring (12)\nRnd 2: inc around (24)\n"
    pattern = read(f"Cap\nTerms: US\n{rounds}Flap row 1: Join yarn, sc in next 6 sts, turn (6)\n")
    assert [entry.stitches for entry in pattern.pieces[1].rounds] == [6]
    assert not [problem for problem in pattern.problems if problem.severity == "error"]


def test_rows_without_labels_are_rows() -> None:
    first = "Ch 11.\nsc in 2nd ch from hook and in each ch across, turn (10)\n"
    rows = f"{first}ch 1, sc in each st, turn\nch 1, 2 sc in each st"
    pattern = read(f"Strap\nTerms: US\n{rows}\n")
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [10, 10, 20]


def test_assembly_is_steps() -> None:
    steps = read(PATTERN).assembly
    assert [step.text for step in steps][:2] == ["Sew the feet to the body.", "Use the long tails."]
    assert steps[0].kind == "sew"


def test_what_is_only_in_a_picture_is_said() -> None:
    assert [(p.kind, p.line) for p in read(PATTERN).problems] == [("picture_only", 37)]


@pytest.mark.parametrize(
    ("text", "rounds", "apart"),
    [
        ("Insert safety eyes between rounds 8 and 9, with 6 stitches between them.", (8, 9), 6),
        ("Add 9mm safety eyes between Rnd 14 & 15, 7 sts apart", (14, 15), 7),
        ("Put the eyes on round 10, 8 stitches apart.", (10, 10), 8),
        ("Eyes: between R10-R11, 6 sts apart", (10, 11), 6),
        ("Place eyes between the 11th and 12th rounds, with a gap of 5 stitches.", (11, 12), 5),
        ("Embroider the eyes.", None, None),
    ],
)
def test_eyes_carry_their_rounds_and_the_stitches_between_them(
    text: str, rounds: tuple[int, int] | None, apart: int | None
) -> None:
    note = note_of(text, None)
    assert (note.kind, note.between_rounds, note.stitches_apart) == ("eyes", rounds, apart)


def test_terms_given_by_the_maker_say_how_to_read() -> None:
    text = "Ring\nRnd 1: 6 dc in magic ring [6]"
    assert read(text).pieces[0].rounds[0].steps[0].instruction.stitch == "dc"  # type: ignore[union-attr]
    assert read(text, terms="UK").pieces[0].rounds[0].steps[0].instruction.stitch == "sc"  # type: ignore[union-attr]
    assert not read(text, terms="UK").problems


def test_a_size_is_chosen_once() -> None:
    rounds = "Rnd 1: 8 (9, 10) sc in magic ring [8 (9, 10)]\nRnd 2: inc around [16 (18, 20)]"
    text = f"Hat\nTerms: US\nSizes: S (M, L)\n{rounds}"
    assert [r.stitches for r in read(text, size=2).pieces[0].rounds] == [9, 18]
    assert not read(text, size=2).problems
    assert [p.kind for p in read(text).problems] == ["size_assumed"]


def test_an_unread_round_takes_the_printed_total_as_the_patterns_word() -> None:
    text = "Thing\nTerms: US\nRnd 1: 6 sc in MR [6]\nRnd 2: wibble the frobs [12]\nRnd 3: (sc, inc) x 6 [18]"
    entry, after = read(text).pieces[0].rounds[1:]
    assert (entry.basis, entry.stitches) == ("pattern_says", 12)
    assert (after.worked_into, after.basis) == (12, "worked_out")


def test_a_wrong_total_never_becomes_the_rounds_own() -> None:
    text = "Thing\nTerms: US\nRnd 1: 6 sc in MR [6]\nRnd 2: inc x 5 [12]\nRnd 3: (sc, inc) x 6 [18]"
    wrong, after = read(text).pieces[0].rounds[1:]
    assert wrong.stitches == 10
    assert wrong.declared is not None
    assert wrong.declared.stitches == 12
    assert after.worked_into == 12


def test_a_dash_or_a_number_within_a_note_stays_there() -> None:
    """ "12 - 15" must never be read as 1215."""
    words = [
        "Use a hook of 3 - 4 mm.",
        "Sew the arms between rounds 12 - 15.",
        "Sew the ears 3 - 4 rounds below the top.",
    ]
    body = "Body\nRnd 1: 6 sc in ring [6]"
    pattern = read(f"Fox\nTerms: US\n\nNotes\n{words[0]}\n\n{body}\n\nAssembly\n1. {words[1]}\n- {words[2]}\n")
    assert [note.text for note in (*pattern.notes, *pattern.assembly)] == words


def test_lines_that_look_like_rounds_are_not_lost_as_notes_unsaid() -> None:
    snout = "Snout\nStage 1 - 4 sc into MR\nStage 2 - (1 sc, inc) x 2 = 6 sts"
    pattern = read(f"Fox\nTerms: US\n\n{snout}\n\nTail\nRnd 1: 5 sc in ring [5]\n")
    assert [(p.kind, p.line) for p in pattern.problems] == [("stitches_in_note", 5), ("stitches_in_note", 6)]


@pytest.mark.parametrize("edge", ["", "|"])
@pytest.mark.parametrize("label", ["", "Rnd "])
def test_rounds_in_a_table_are_rounds(edge: str, label: str) -> None:
    cells = [("Round", "What to do", "Total"), (":--", "---", ":-:"), (f"{label}1", "6 sc in MR", "6")]
    cells += [(f"{label}2", "inc x 6", "12"), (f"{label}3-5", "sc around", "12")]
    table = "\n".join(f"{edge} {' | '.join(row)} {edge}".strip() for row in cells)
    pattern = read(f"Turnip\nTerms: US\n\nRoot\n\n{table}\n\nLeaf\nRnd 1: 4 sc in MR [4]\n")
    assert not pattern.problems
    assert [(piece.name, [entry.stitches for entry in piece.rounds]) for piece in pattern.pieces] == [
        ("Root", [6, 12, 12]),
        ("Leaf", [4]),
    ]
    assert all(entry.declared is not None for entry in pattern.pieces[0].rounds)
    assert not pattern.notes


@pytest.mark.parametrize(
    ("line", "name", "make", "made"),
    [
        ("Handle: ch 20, sc in 2nd ch from hook and each ch across (19)", "Handle", 1, 19),
        ("TAIL: Ch13, from the 2nd ch: 12 sl st.", "TAIL", 1, 12),
        ("Whiskers (make 6): ch 8, sl st in 2nd ch from hook and in each ch across", "Whiskers", 6, 7),
    ],
)
def test_a_piece_may_stand_on_one_line_with_its_name(line: str, name: str, make: int, made: int) -> None:
    pattern = read(f"Cat\nTerms: US\n\nHead\nRnd 1: 6 sc in ring [6]\n\n{line}\n")
    assert not [problem for problem in pattern.problems if problem.severity == "error"]
    assert [(piece.name, piece.make) for piece in pattern.pieces] == [("Head", 1), (name, make)]
    assert [entry.stitches for entry in pattern.pieces[1].rounds] == [made]


@pytest.mark.parametrize(
    "line", ["Note: ch 1 is not a stitch.", "Picot: ch 3, sl st in first ch", "Next: ch 3 and 2 dc are one shell"]
)
def test_other_words_before_a_colon_are_no_piece(line: str) -> None:
    assert len(read(f"Cat\nTerms: US\n\nHead\nRnd 1: 6 sc in ring [6]\n\n{line}\n").pieces) == 1


@pytest.mark.parametrize(("heading", "make"), [("EAR*2:", 2), ("Legs (2 pieces)", 2), ("Paws [4 pcs]", 4)])
def test_how_many_of_a_piece_are_made(heading: str, make: int) -> None:
    (piece,) = read(f"Cat\nTerms: US\n\n{heading}\nRnd 1: 6 sc in ring [6]\n").pieces
    assert piece.make == make
