"""The pattern read aloud: the file plays, its chapters stand where its rounds begin. Read back with mutagen."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from companion.paper import audio
from companion.paper.id3 import Chapter, tag
from companion.paper.view import View, view
from companion.pattern.reader import read, read_file
from companion.resources import sample

mutagen_id3 = pytest.importorskip("mutagen.id3")
soundfile = pytest.importorskip("soundfile")
RATE = 22_050


@dataclass(frozen=True)
class Tone:
    """A sound whose pitch tells which sentence it stands for."""

    samples: npt.NDArray[np.float32]
    rate: int = RATE


class Reader:
    """Renders each sentence as a tone of its own length and keeps what was read."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def __call__(self, text: str) -> Tone:
        self.said.append(text)
        time = np.arange(round(RATE * (0.2 + 0.01 * len(text)))) / RATE
        return Tone((0.3 * np.sin(2 * np.pi * 440 * time)).astype(np.float32))


@pytest.fixture
def shown() -> View:
    return view(read_file(sample("pocket-mouse.txt")))


def test_a_chapter_for_every_round_where_it_begins(shown: View, tmp_path: Path) -> None:
    reader = Reader()
    path = tmp_path / "body.mp3"
    piece = shown.pieces[0]
    chapters = audio.write(shown, piece, 1, path, reader)
    tags = mutagen_id3.ID3(path)
    marks = [(str(c.sub_frames["TIT2"]), c.start_time, c.end_time) for c in tags.getall("CHAP")]
    assert marks == [(c.title, c.start, c.end) for c in chapters]
    assert [title for title, _, _ in marks] == ["Body", *(round_.label for round_ in piece.rounds)]
    (contents,) = tags.getall("CTOC")
    assert list(contents.child_element_ids) == [c.element_id for c in tags.getall("CHAP")]
    assert (str(tags["TIT2"]), str(tags["TALB"]), str(tags["TRCK"])) == ("Body", "Pocket Mouse", "1/4")
    assert "MIT licence" in str(tags["TCOP"])


def test_marks_agree_with_the_sound(shown: View, tmp_path: Path) -> None:
    """Just before a mark it is silent, just after it somebody speaks."""
    path = tmp_path / "body.mp3"
    chapters = audio.write(shown, shown.pieces[0], 1, path, Reader())
    samples, rate = soundfile.read(path)
    assert len(samples) / rate == pytest.approx(chapters[-1].end / 1000, abs=0.15)

    def loudness(start: float, end: float) -> float:
        return float(np.sqrt(np.mean(samples[round(start * rate) : round(end * rate)] ** 2)))

    for chapter in chapters[1:]:
        at = chapter.start / 1000
        assert loudness(at - 0.6, at - 0.15) < 0.01
        assert loudness(at + 0.1, at + 0.25) > 0.1


def test_every_round_is_read_in_full_words(shown: View, tmp_path: Path) -> None:
    reader = Reader()
    audio.write(shown, shown.pieces[0], 1, tmp_path / "body.mp3", reader)
    assert reader.said[0] == "Pocket Mouse."
    seven = "Round seven. Six times: two single crochet, then one increase. That ends the repeat. Twenty four stitches."
    assert seven in reader.said
    assert "Place the eyes between rounds six and seven, five stitches apart." in reader.said
    assert any("children" in text or "child under three" in text for text in reader.said)
    assert not any(character.isdigit() for text in reader.said for character in text)


def test_the_last_piece_ends_with_the_assembly(shown: View) -> None:
    last = list(audio.passages(shown, shown.pieces[-1], 5))[-1]
    assert last.title == "Assembly"
    assert last.sentences[1] == "Sew the ears to the body over round nine, six stitches apart."


def test_uk_terms_are_read_in_uk_terms() -> None:
    note = "Work the last dc loosely."
    shown = view(read(f"Test\nTerms: US\n\nPIECE\nRnd 1: 6 sc in magic ring [6]\n{note}\n"), "UK")
    said = [text for part in audio.passages(shown, shown.pieces[0], 1) for text in part.sentences]
    assert "Round one. Six double crochet in a magic ring. Six stitches." in said
    assert "Work the last treble crochet loosely." in said


@pytest.mark.parametrize("count", [1, 2, 255, 256, 700])
def test_any_number_of_chapters(count: int, tmp_path: Path) -> None:
    path = tmp_path / "x.mp3"
    chapters = [Chapter(f"Round {n} – é", n * 1000, n * 1000 + 900) for n in range(count)]
    path.write_bytes(tag({"TIT2": "Tëst", "TPE1": ""}, chapters) + b"\xff\xfb\x90\x00" + bytes(413))
    tags = mutagen_id3.ID3(path)
    marks = {c.element_id: c for c in tags.getall("CHAP")}
    assert [(c.start_time, str(c.sub_frames["TIT2"])) for c in marks.values()] == [
        (chapter.start, chapter.title) for chapter in chapters
    ]
    tables = {c.element_id: c.child_element_ids for c in tags.getall("CTOC")}
    inner = [ids for name, ids in tables.items() if name != "toc"] or [tables["toc"]]
    assert [child for ids in inner for child in ids] == list(marks)
    assert "TPE1" not in tags
