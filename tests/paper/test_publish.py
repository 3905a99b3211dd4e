"""Everything in one folder: every form that carries the pattern has the same totals."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from companion.cli import main
from companion.paper import braille
from companion.paper.publish import Options, PublishError, publish
from companion.paper.terms import carried_over
from companion.paper.text import text
from companion.paper.view import view
from companion.pattern.exchange import from_json
from companion.pattern.model import InOne, Pattern, Repeat, Terms, Work
from companion.pattern.reader import read, read_file
from companion.pattern.stitches import table
from companion.resources import sample, shared_folder

SAMPLES = sorted(path.name for path in (shared_folder() / "patterns").glob("*.txt"))


class Hum:
    """A voice that hums."""

    samples = np.zeros(4410, dtype=np.float32)
    rate = 22_050


def totals(pattern: Pattern) -> list[tuple[str, int | None, int | None, int | None]]:
    return [(piece.name, entry.first, entry.last, entry.stitches) for piece in pattern.pieces for entry in piece.rounds]


@pytest.mark.parametrize("terms", ["US", "UK"])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_form_has_the_same_totals(name: str, terms: Terms, tmp_path: Path) -> None:
    pattern = read_file(sample(name))
    published = publish(pattern, tmp_path, Options(terms=terms, render=lambda _: Hum()))
    stem = pattern.title.lower().replace(" ", "-")
    kinds = {path.name for path in published.files}
    assert {f"{stem}.txt", f"{stem}.html", f"{stem}.json", f"{stem}-for-testers.txt"} <= kinds
    assert (f"{stem}.brf" in kinds) == braille.available()
    assert sum(path.suffix == ".svg" for path in published.files) == len(pattern.pieces)
    assert sum(path.suffix == ".mp3" for path in published.files) == len(pattern.pieces)

    again = read_file(tmp_path / f"{stem}.txt")
    assert again.terms == terms
    assert totals(again) == totals(pattern)
    assert not again.errors

    report = json.loads((tmp_path / f"{stem}.json").read_text(encoding="utf-8"))
    assert [(p["name"], r["first"], r["last"], r["stitches"]) for p in report["pieces"] for r in p["rounds"]] == (
        totals(pattern)
    )
    page = (tmp_path / f"{stem}.html").read_text(encoding="utf-8")
    on_page = [int(number) for number in re.findall(r'class="total">(\d+) stitch', page)]
    assert on_page == [stitches for *_, stitches in totals(pattern)]
    for piece in view(pattern).pieces:
        chart = (tmp_path / f"{stem}-{piece.key}.svg").read_text(encoding="utf-8")
        counts = re.search(r"Stitches, (?:round by round|row by row): ([\d, ]+)\.", chart)
        assert counts is not None
        singles = [entry.stitches for entry in piece.piece.rounds for _ in range(entry.times)]
        assert [int(count) for count in counts[1].split(", ")] == singles


# --- US to UK and back --------------------------------------------------------------------------------------------


def work_of(pattern: Pattern) -> list[object]:
    """What the hands do, without the words of the writer."""

    def motions(items: tuple[object, ...]) -> list[object]:
        found: list[object] = []
        for item in items:
            if isinstance(item, Work):
                found.append((item.stitch, item.count, item.in_one, item.together, item.loop, item.same))
            elif isinstance(item, Repeat | InOne):
                times = item.times if isinstance(item, Repeat) else item.count
                found.append((type(item).__name__, times, motions(item.body)))
        return found

    return [motions(entry.instructions) for piece in pattern.pieces for entry in piece.rounds]


KEYS = [key for key, stitch in table().items() if stitch.kind in ("basic", "post") and key not in ("rsc", "sl st")]
stitches = st.sampled_from(KEYS).map(lambda key: table()[key].us.abbreviations[0])
parts = st.one_of(
    st.builds("{} {}".format, st.integers(2, 30), stitches),
    stitches,
    st.builds("{} {} in next st".format, st.integers(2, 5), stitches),
    st.builds("{}{}tog".format, st.sampled_from(["sc", "hdc", "dc", "tr"]), st.integers(2, 4)),
    st.builds("sk {}".format, st.integers(1, 3)),
)
lines = st.lists(parts, min_size=1, max_size=4).map(", ".join)
repeats = st.builds("({}) x {}".format, lines, st.integers(2, 8))


@given(st.lists(st.one_of(lines, repeats), min_size=1, max_size=4))
@example(["2 sc, 2 fpsc", "2 fpsc in next st"])  # a round that names two stitches changes nothing of what "inc" means
@settings(max_examples=60, deadline=None)
def test_us_to_uk_to_us_is_the_same_pattern(rounds: list[str]) -> None:
    body = "".join(f"Rnd {number}: {line}\n" for number, line in enumerate(rounds, start=2))
    first = read(f"Test\nTerms: US\n\nPIECE\nRnd 1: 6 sc in magic ring [6]\n{body}")
    british = read(text(view(first, "UK")))
    second = read(text(view(british, "US")))
    assert british.terms == "UK"
    assert work_of(first) == work_of(british) == work_of(second)
    assert totals(first) == totals(british) == totals(second)


def test_running_text_is_carried_over() -> None:
    assert carried_over("End with a ss into the first dc; htr counts as a stitch.", "UK", "US") == (
        "End with a sl st into the first sc; hdc counts as a stitch."
    )
    assert carried_over("Work the double crochet loosely. Do not miss this.", "US", "UK") == (
        "Work the treble crochet loosely. Do not miss this."
    )
    assert carried_over("sc2tog and 2dc", "US", "UK") == "dc2tog and 2tr"


# --- for testers, and what goes wrong -----------------------------------------------------------------------------

LACKING = """Plain Pear

PEAR
Rnd 1: 6 sc in magic ring [6]
Rnd 2: inc x 6
Rnd 3: (sc, inc) x 6 [18]
Place the safety eyes between rounds 2 and 3.

LEAF
Rnd 1: 6 sc in magic ring [6]
"""


def test_the_list_for_testers_names_what_is_missing(tmp_path: Path) -> None:
    published = publish(read(LACKING), tmp_path)
    asked = (tmp_path / "plain-pear-for-testers.txt").read_text(encoding="utf-8")
    assert "Which terms?" in asked
    assert "Which gauge?" in asked
    assert "Which hook?" in asked
    assert "without a caution" in asked
    assert "Line 5: PEAR, Rnd 2: no total is printed." in asked
    assert "LEAF: nothing says where it is sewn or joined on." in asked
    assert f"Questions a tester would ask: {published.questions}." in asked
    assert published.questions == len(asked.strip().split("\n")) - 2


def test_a_complete_pattern_leaves_nothing_to_ask(tmp_path: Path) -> None:
    publish(read_file(sample("pocket-mouse.txt")), tmp_path)
    asked = (tmp_path / "pocket-mouse-for-testers.txt").read_text(encoding="utf-8")
    assert "BERRY: nothing says where it is sewn or joined on." in asked
    assert asked.count("\n") == 3


def test_what_is_missing_here_is_told_in_plain_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(braille, "PROGRAM", "no-such-program")
    published = publish(read(LACKING), tmp_path)
    assert any(line.startswith("No braille: liblouis is missing.") for line in published.skipped)
    assert any(line.startswith("Not read aloud: there is no voice.") for line in published.skipped)


def test_a_folder_that_cannot_be_written_is_one_clear_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    with pytest.raises(PublishError, match=r"Cannot write to .*taken.*Choose another folder with --to"):
        publish(read(LACKING), tmp_path / "taken")


def test_somebody_elses_rights_are_in_every_form(tmp_path: Path) -> None:
    mutagen_id3 = pytest.importorskip("mutagen.id3")
    source = "Plum\nby Ada Invented\nCopyright 2024 Ada Invented\nTerms: US\n\nSTONE\nRnd 1: 6 sc in magic ring [6]\n"
    published = publish(read(source), tmp_path, Options(render=lambda _: Hum()))
    told = {}
    for path in published.files:
        if path.suffix == ".brf":
            back = braille.translate(path.read_text(encoding="ascii").split("\r\n"), back=True)
            told[path.suffix] = " ".join(" ".join(back).split())
        elif path.suffix == ".mp3":
            tags = mutagen_id3.ID3(path)
            told[path.suffix] = f"{tags['TPE1']} {tags['TCOP']} {tags['TIT3']}"
        elif "testers" not in path.name:
            told[path.suffix] = path.read_text(encoding="utf-8")
    assert {".txt", ".html", ".json", ".svg", ".mp3"} <= set(told)
    for content in told.values():
        assert "copyright 2024 ada invented" in content.lower()
        assert "personal copy" in content.lower()


def test_the_designers_own_pattern_is_not_marked_as_a_copy(tmp_path: Path) -> None:
    source = "Plum\nby Ada Invented\nTerms: US\n\nSTONE\nRnd 1: 6 sc in magic ring [6]\n"
    for path in publish(read(source), tmp_path, Options(own=True)).files:
        if path.suffix in (".txt", ".html", ".json", ".svg"):
            assert "Personal copy" not in path.read_text(encoding="utf-8")


def test_the_json_form_is_to_the_schema_and_reads_back(tmp_path: Path) -> None:
    pattern = read_file(sample("pocket-mouse.txt"))
    publish(pattern, tmp_path)
    again = from_json((tmp_path / "pocket-mouse.json").read_bytes())
    assert totals(again) == totals(pattern)
    assert (again.designer, again.rights) == (pattern.designer, pattern.rights)


def test_who_asks_for_no_audio_is_not_told_that_there_is_no_voice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = tmp_path / "pear.txt"
    source.write_text(LACKING, encoding="utf-8")
    main(["publish", str(source), "--to", str(tmp_path / "out"), "--no-audio"])
    said = capsys.readouterr().out
    assert "pear.html" in said
    assert "voice" not in said
