"""The bench of writing down: `python -m benchmarks.dictation` prints one table.

A pattern of twelve rounds is dictated aloud by rendered voices, laid out in every form, and each form is read back.
"""

from __future__ import annotations

import argparse
import json
import re
import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from benchmarks.dictation_maker import BALL, TOTALS, Designer
from benchmarks.ear_voices import Voice
from companion.dictation.opening import open_dictation
from companion.ear.choose import choose
from companion.mouth.voice import Voice as Mouth
from companion.paper import braille
from companion.paper.publish import Options, publish
from companion.pattern.reader import read_file

VOICES = (
    Voice("us", "espeak", "en-us", "tune"),
    Voice("gb", "espeak", "en-gb", "tune"),
    Voice("flite-slt", "flite", "slt", "tune"),
)


def main() -> None:
    """Prints a row for every voice."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.dictation", description=__doc__)
    parser.add_argument("--voices", type=int, default=len(VOICES), metavar="N", help="only the first N voices")
    arguments = parser.parse_args()
    _, recogniser = choose("auto")
    print("| voice | rounds right of 12 | said | acted on | asked | said again | wrong, undone | forms alike |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for voice in VOICES[: arguments.voices]:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            with (
                open_dictation(folder / "round-lantern.txt", state=folder / "heard") as dictating,
                open_dictation(folder / "meant.txt", state=folder / "typed", title=dictating.draft.title) as meant,
            ):
                tally = Designer(voice, dictating, meant, recogniser).dictate(BALL)
                dictating.end()
            pattern = read_file(folder / "round-lantern.txt")
            made = [e.stitches for piece in pattern.pieces for e in piece.rounds for _ in range(e.times)]
            right = sum(one == two for one, two in zip(made, TOTALS, strict=False)) if len(made) == len(TOTALS) else 0
            agree = ", ".join(forms_that_agree(folder / "round-lantern.txt", folder / "published"))
        print(
            f"| {voice.name} | {right} | {tally.said} | {tally.at_once} | {tally.asked} | {tally.again} "
            f"| {tally.wrong} | {agree} |",
            flush=True,
        )


def forms_that_agree(pattern_file: Path, folder: Path) -> Iterator[str]:
    """The forms in which the totals are those of the ball."""
    pattern = read_file(pattern_file)
    with Mouth() as mouth:
        published = publish(pattern, folder, Options(own=True, render=partial(mouth.render, rate=1.0)))
    for path in published.files:
        if "testers" not in path.name and totals_in(path) == list(TOTALS):
            yield path.suffix


def totals_in(path: Path) -> list[int]:
    """Every round's total as a published form has it; of the sound, how many marks there are stands for it."""
    match path.suffix:
        case ".txt":
            pattern = read_file(path)
            return [e.stitches or 0 for piece in pattern.pieces for e in piece.rounds for _ in range(e.times)]
        case ".json":
            pieces = json.loads(path.read_text(encoding="utf-8"))["pieces"]
            rounds = [entry for piece in pieces for entry in piece["rounds"]]
            return [e["stitches"] for e in rounds for _ in range(e["first"], e["last"] + 1)]
        case ".html":
            rows = re.findall(
                r'class="label">Rounds? (\d+)(?: to (\d+))?\.</strong>.*?class="total">(\d+) stitch',
                path.read_text(encoding="utf-8"),
                re.DOTALL,
            )
            return _each((first, last, total) for first, last, total in rows)
        case ".svg":
            found = re.search(r"Stitches, round by round: ([\d, ]+)\.", path.read_text(encoding="utf-8"))
            return [int(total) for total in found[1].split(", ")] if found else []
        case ".brf":
            lines = path.read_text(encoding="ascii").replace("\f", "").split("\r\n")
            back = " ".join(braille.translate(lines, back=True))
            return _each(re.findall(r"(?:^| )(\d+)(?:-(\d+))? [^\[\]]*?\[(\d+)\]", back))
        case _:
            from mutagen.id3 import ID3

            titles = [str(mark.sub_frames["TIT2"]) for mark in ID3(path).getall("CHAP")]  # type: ignore[no-untyped-call]
            marks = [m for title in titles if (m := re.fullmatch(r"Rounds? (\d+)(?: to (\d+))?", title))]
            numbers = [n for mark in marks for n in range(int(mark[1]), int(mark[2] or mark[1]) + 1)]
            return list(TOTALS) if numbers == list(range(1, len(TOTALS) + 1)) else []


def _each(rows: Iterator[tuple[str, str, str]] | list[tuple[str, str, str]]) -> list[int]:
    """A total for every round of a range."""
    return [int(total) for first, last, total in rows for _ in range(int(first), int(last or first) + 1)]


if __name__ == "__main__":
    main()
