"""What may follow each command on the command line. Only the command that is asked for is built: the start is short."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace, _ActionsContainer
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, NamedTuple


class Command(NamedTuple):
    """One command: a line on what it does, and what adds its options."""

    help: str
    add: Callable[[ArgumentParser], None]


def parsed(argv: Sequence[str]) -> Namespace:
    """The arguments, the name of the command in `command`. SystemExit where they are wrong, or ask for help."""
    parser = ArgumentParser(
        prog="companion",
        description="Work a written crochet pattern hands-free: it reads, listens, keeps the place and answers aloud.",
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="command")
    asked = argv[:1] if argv and argv[0] in COMMANDS else COMMANDS
    for name in asked:
        COMMANDS[name].add(commands.add_parser(name, help=COMMANDS[name].help))
    return parser.parse_args(argv)


def _demo(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--out", type=Path, default=Path("demo-output"), metavar="DIR", help="where the sound file goes"
    )
    parser.add_argument("--json", action="store_true", help="print each turn as one JSON object")
    parser.add_argument("--silent", action="store_true", help="do not play it, even where there is a loudspeaker")


def _check(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--terms", choices=("US", "UK"), help="read it in these terms, whatever it says")
    parser.add_argument("--text", action="store_true", help="print the numbered text that lines and columns point into")


def _work(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", nargs="?", help="a pattern file")
    parser.add_argument("--typed", action="store_true", help="take one utterance a line from standard input")
    parser.add_argument("--json", action="store_true", help="print one JSON object for every utterance")
    parser.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    parser.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")
    parser.add_argument("--terms", choices=("US", "UK"), help="read the pattern in these terms, whatever it says")
    _measures(parser.add_argument_group("your own measures, for questions of size and yarn"))
    _aloud(parser)
    practise = parser.add_argument_group("practising")
    practise.add_argument("--practise", action="store_true", help="say ten lines; hear which are heard badly, and why")
    practise.add_argument("--hear", type=Path, nargs="+", metavar="WAV", help="practise with recordings, in order")


def _settings(parser: ArgumentParser) -> None:
    parser.add_argument("changes", metavar="NAME=VALUE", nargs="*", help="for instance plain=yes or voice=en-gb")
    parser.add_argument("--devices", action="store_true", help="name the microphones and loudspeakers there are")


def _at_login(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", nargs="?", type=Path, help="the pattern to work")


def _hear(parser: ArgumentParser) -> None:
    parser.add_argument("recordings", metavar="WAV", nargs="+", type=Path, help="sound files, 16-bit WAV or similar")
    parser.add_argument("--pattern", metavar="PATTERN", help="a pattern whose pieces may be named")
    parser.add_argument("--json", action="store_true", help="print one JSON object a file")
    parser.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")


def _write_down(parser: ArgumentParser) -> None:
    parser.add_argument("--out", type=Path, required=True, metavar="FILE", help="the pattern file that is written")
    parser.add_argument("--typed", action="store_true", help="take one utterance a line from standard input")
    parser.add_argument("--hear", type=Path, nargs="+", metavar="WAV", help="take recordings, in order")
    parser.add_argument("--json", action="store_true", help="print one JSON object for every utterance")
    parser.add_argument("--title", help="what the pattern is called (default: the file's name)")
    parser.add_argument("--terms", choices=("US", "UK"), help="the terms you speak and it is written in (default: US)")
    parser.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    parser.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")
    _aloud(parser)


def _publish(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    parser.add_argument("--to", type=Path, required=True, metavar="DIR", help="the folder it is written to")
    parser.add_argument("--terms", choices=("US", "UK"), help="write it in these terms (default: as it is)")
    parser.add_argument("--own", action="store_true", help="you wrote it, so it is not marked as a personal copy")
    parser.add_argument("--left-handed", action="store_true", help="charts mirrored for a left-handed maker")
    parser.add_argument("--braille-grade", type=int, choices=(1, 2), default=1, help="1 uncontracted, 2 contracted")
    parser.add_argument("--no-audio", action="store_true", help="leave out the pattern read aloud")
    size = parser.add_argument_group("your own measures, for the pictures of its size (default: the pattern's)")
    _gauge(size)
    _units(size)


def _estimate(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    _measures(parser)
    parser.add_argument(
        "--pace", type=float, nargs=2, metavar=("STITCHES", "MINUTES"), help="stitches you made and minutes they took"
    )
    parser.add_argument("--high", metavar="LENGTH", help="which gauge would make a piece so high, such as 12cm or 5in")
    parser.add_argument("--wide", metavar="LENGTH", help="which gauge would make a piece so wide")
    parser.add_argument("--piece", metavar="NAME", help="the piece that is meant (default: the first)")
    parser.add_argument("--terms", choices=("US", "UK"), help="read it in these terms, whatever it says")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def _table(parser: ArgumentParser) -> None:
    parser.add_argument("name", choices=("hooks", "yarns", "eyes"), help="which table")


def _shape(parser: ArgumentParser) -> None:
    parser.add_argument("shape", choices=("disc", "ball", "tube", "cone"), help="which shape")
    parser.add_argument("--stitches", type=int, metavar="N", help="stitches of its widest round, 3 to 1000")
    parser.add_argument("--across", metavar="LENGTH", help="or how wide it should be, such as 6cm or 2.5in")
    parser.add_argument("--rounds", type=int, metavar="N", help="straight rounds of a tube, all rounds of a cone")
    parser.add_argument("--high", metavar="LENGTH", help="or how high the tube or cone should be")
    parser.add_argument("--open", action="store_true", help="a tube with no bottom")
    _gauge(parser)
    _units(parser)


def _spread(parser: ArgumentParser) -> None:
    parser.add_argument("changes", type=int, metavar="INCREASES", help="how many increases")
    parser.add_argument("stitches", type=int, metavar="STITCHES", help="how many stitches the round below has")
    parser.add_argument("--decreases", action="store_true", help="so many decreases instead")
    parser.add_argument(
        "--after", metavar="ROUND", help='the last round that had any, as it is written: "(3 sc, inc) x 6"'
    )


def _projects(parser: ArgumentParser) -> None:
    parser.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    parser.add_argument("--export", nargs=2, metavar=("TITLE", "FILE"), help="write one project to one file")
    parser.add_argument("--bring-in", type=Path, metavar="FILE", help="take in a project written by --export")


def _log(parser: ArgumentParser) -> None:
    parser.add_argument("pattern", metavar="PATTERN", help="a pattern file that you worked")
    parser.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")


def _models(parser: ArgumentParser) -> None:
    parser.add_argument("model", nargs="?", metavar="MODEL", help="bring this one, such as vosk, the second ear")
    parser.add_argument("--list", action="store_true", help="only list them; fetch nothing")


def _nothing(_: ArgumentParser) -> None:
    """A command that takes no options."""


def _aloud(parser: ArgumentParser) -> None:
    """The options of every talk aloud."""
    aloud = parser.add_argument_group("speaking and listening (the rest of the settings: `companion settings`)")
    aloud.add_argument("--voice", metavar="NAME", help="the voice that answers: its name, or a language such as en-gb")
    aloud.add_argument("--answers", choices=("voice", "tones", "print"), help="how replies come")
    aloud.add_argument("--headphones", action="store_true", default=None, help="its voice cannot reach the microphone")
    aloud.add_argument("--plain", action="store_true", default=None, help="lines that are only ever added, no picture")
    aloud.add_argument("--attention", metavar="WORD", help="act only on sentences that begin with this word")
    aloud.add_argument("--no-tones", dest="tones", action="store_false", default=None, help="no short tones")


def _measures(parser: _ActionsContainer) -> None:
    """The options that sizes and yarn are worked out from."""
    _gauge(parser)
    parser.add_argument(
        "--swatch",
        type=float,
        nargs=2,
        metavar=("METRES", "STITCHES"),
        help="yarn you used and single crochet you made with it, such as 6 100",
    )
    parser.add_argument(
        "--ball", type=float, nargs=2, metavar=("METRES", "GRAMS"), help="what the label of one ball says"
    )
    _units(parser)


def _gauge(parser: _ActionsContainer) -> None:
    parser.add_argument("--stitches-per-10cm", type=float, metavar="N", help="your own stitches over 10 cm")
    parser.add_argument("--rounds-per-10cm", type=float, metavar="N", help="your own rounds or rows over 10 cm")
    parser.add_argument("--hook", type=float, metavar="MM", help="your hook, where it is not the pattern's")
    parser.add_argument("--yarn", metavar="NAME", help="your yarn weight (DK, aran), where it is not the pattern's")


def _units(parser: _ActionsContainer) -> None:
    parser.add_argument("--units", choices=("metric", "imperial"), default="metric", help="centimetres or inches")


COMMANDS: Final = {
    "demo": Command("a rehearsed session on a sample pattern, needing no devices", _demo),
    "check": Command("read a pattern, work out every round, say what does not add up", _check),
    "work": Command("work a pattern hands-free", _work),
    "settings": Command("show or change what is remembered for speaking and listening", _settings),
    "at-login": Command("start with a pattern at login; without one, not any more", _at_login),
    "hear": Command("what the ear makes of recordings", _hear),
    "phrases": Command("everything that can be said, with examples", _nothing),
    "write-down": Command("take a pattern down by voice while you make it", _write_down),
    "publish": Command("lay a pattern out to print, to listen to, to read in braille", _publish),
    "estimate": Command("size, yarn and time of a pattern, from your own gauge", _estimate),
    "table": Command("hook sizes, yarn weights or eye sizes, with their sources", _table),
    "shape": Command("a disc, ball, tube or cone as rounds, printed as a pattern", _shape),
    "spread": Command("spread increases or decreases evenly over a round", _spread),
    "projects": Command("list your projects, take one to another machine, bring one in", _projects),
    "log": Command("the tester's log of a pattern, to send to its designer", _log),
    "models": Command("which speech models are here, which can be had, and how", _models),
}
