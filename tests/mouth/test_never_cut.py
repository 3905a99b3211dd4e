"""No sentence is lost or cut short, however quickly one follows the other: half a sentence can be a wrong number."""

import statistics

from companion.mouth.voice import Voice

LONG = "Round seven. Six times: two single crochet, then one increase. That ends the repeat. Twenty four stitches."


def test_a_hundred_sentences_in_a_row_are_all_whole() -> None:
    with Voice() as voice:
        # A number of its own keeps each from being taken from those rendered before.
        lengths = [voice.render(f"{LONG} {number}").seconds for number in range(10, 60)]
        short = [voice.render(f"Twelve left, {number}").seconds for number in range(10, 60)]
    for found in (lengths, short):
        middle = statistics.median(found)
        assert all(0.7 * middle < seconds < 1.3 * middle for seconds in found)
