"""The contract of `companion check`: JSON key for key, and plain lines."""

import json

from companion.pattern.reader import read
from companion.pattern.report import check_json, check_lines

TEXT = """\
Small Pot
Terms: US

POT (make 2)
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: inc x 6 [12]
Rnds 3-5: sc around [12]
Rnd 6: (sc, inc) x 6 [20]
Rnd 7: wibble the frobs [20]
"""


def test_the_json_has_the_keys_of_the_contract_and_no_others() -> None:
    report = json.loads(check_json(read(TEXT)))
    assert list(report) == ["title", "terms", "pieces", "problems"]
    (piece,) = report["pieces"]
    assert list(piece) == ["name", "make", "rounds"]
    assert all(list(r) == ["label", "first", "last", "worked_into", "stitches", "line"] for r in piece["rounds"])
    assert all(list(p) == ["line", "column", "severity", "kind", "message", "hint"] for p in report["problems"])


def test_a_range_is_one_entry_and_totals_are_worked_out_not_copied() -> None:
    rounds = json.loads(check_json(read(TEXT)))["pieces"][0]["rounds"]
    assert rounds[2] == {"label": "Rnds 3-5", "first": 3, "last": 5, "worked_into": 12, "stitches": 12, "line": 7}
    assert rounds[3]["stitches"] == 18
    assert rounds[4]["stitches"] is None


def test_a_range_whose_total_changes_is_one_entry_a_round() -> None:
    text = "Fan\nTerms: US\nRnd 1: 6 sc in MR [6]\nRnds 2-3: inc around"
    rounds = json.loads(check_json(read(text)))["pieces"][0]["rounds"]
    assert [(r["first"], r["last"], r["worked_into"], r["stitches"]) for r in rounds] == [
        (1, 1, 0, 6),
        (2, 2, 6, 12),
        (3, 3, 12, 24),
    ]


def test_the_lines_are_plain_sentences_with_both_numbers_where_they_differ() -> None:
    lines = list(check_lines(read(TEXT)))
    assert lines[0] == "Small Pot, US terms."
    assert "POT, make 2." in lines
    assert "Rnd 6: 18 stitches into 12. The pattern says 20." in lines
    assert "Rnd 7: the pattern says 20; not worked out. Line 9." in lines
    assert lines[-1] == "1 error, 1 warning."
    assert all(line.isprintable() for line in lines)
    assert not any(set(line) & set("│┃─━┌┐└┘|") for line in lines)
