"""The command line. Thin: it reads arguments, calls a room, prints what comes back.

Exit 0 done, 1 the pattern has problems, 2 cannot do what was asked. Errors are one clear sentence on standard error.
Rooms are imported where they are used, so that a check of a pattern loads nothing of speech or sound.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from companion.errors import MakerError

if TYPE_CHECKING:
    from companion.pattern.model import Pattern, Terms
    from companion.session import Session
    from companion.settings import Settings

DONE, PROBLEMS, CANNOT = 0, 1, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Returns the exit code."""
    arguments = _parser().parse_args(argv)
    run: Callable[[argparse.Namespace], int] = arguments.run
    try:
        return run(arguments)
    except MakerError as error:
        print(str(error), file=sys.stderr)
        return CANNOT
    except KeyboardInterrupt:
        if run == _write_down:
            print("Stopped. All you said is kept; start again with the same file to go on.", file=sys.stderr)
        elif run == _work and not arguments.practise:
            print("Stopped. The place is saved.", file=sys.stderr)
        else:
            print("Stopped.", file=sys.stderr)
        return CANNOT
    except BrokenPipeError:
        # The reader of our output has gone (`companion check … | head`); there is nobody left to tell.
        sys.stderr.close()
        return DONE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="companion",
        description="Work a written crochet pattern hands-free: it reads, listens, keeps the place and answers aloud.",
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    demo = commands.add_parser("demo", help="a rehearsed session on a sample pattern, needing no devices")
    demo.add_argument("--out", type=Path, default=Path("demo-output"), metavar="DIR", help="where the sound file goes")
    demo.add_argument("--json", action="store_true", help="print each turn as one JSON object")
    demo.add_argument("--silent", action="store_true", help="do not play it, even where there is a loudspeaker")
    demo.set_defaults(run=_demo)

    check = commands.add_parser("check", help="read a pattern, work out every round, say what does not add up")
    check.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    check.add_argument("--json", action="store_true", help="print one JSON object")
    check.add_argument("--terms", choices=("US", "UK"), help="read it in these terms, whatever it says")
    check.add_argument("--text", action="store_true", help="print the numbered text that lines and columns point into")
    check.set_defaults(run=_check)

    work = commands.add_parser("work", help="work a pattern hands-free")
    work.add_argument("pattern", metavar="PATTERN", nargs="?", help="a pattern file")
    work.add_argument("--typed", action="store_true", help="take one utterance a line from standard input")
    work.add_argument("--json", action="store_true", help="print one JSON object for every utterance")
    work.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    work.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")
    work.add_argument("--terms", choices=("US", "UK"), help="read the pattern in these terms, whatever it says")
    _add_measures(work.add_argument_group("your own measures, for questions of size and yarn"))
    aloud = _add_aloud(work)
    aloud.add_argument("--attention", metavar="WORD", help="act only on sentences that begin with this word")
    practise = work.add_argument_group("practising")
    practise.add_argument("--practise", action="store_true", help="say ten lines; hear which are heard badly, and why")
    practise.add_argument("--hear", type=Path, nargs="+", metavar="WAV", help="practise with recordings, in order")
    work.set_defaults(run=_work)

    settings = commands.add_parser("settings", help="show or change what is remembered for speaking and listening")
    settings.add_argument("changes", metavar="NAME=VALUE", nargs="*", help="for instance plain=yes or voice=en-gb")
    settings.add_argument("--devices", action="store_true", help="name the microphones and loudspeakers there are")
    settings.set_defaults(run=_settings)

    login = commands.add_parser("at-login", help="start with a pattern at login; without one, not any more")
    login.add_argument("pattern", metavar="PATTERN", nargs="?", type=Path, help="the pattern to work")
    login.set_defaults(run=_at_login)

    hear = commands.add_parser("hear", help="what the ear makes of recordings")
    hear.add_argument("recordings", metavar="WAV", nargs="+", type=Path, help="sound files, 16-bit WAV or similar")
    hear.add_argument("--pattern", metavar="PATTERN", help="a pattern whose pieces may be named")
    hear.add_argument("--json", action="store_true", help="print one JSON object a file")
    hear.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")
    hear.set_defaults(run=_hear)

    phrases = commands.add_parser("phrases", help="everything that can be said, with examples")
    phrases.set_defaults(run=_phrases)

    write = commands.add_parser("write-down", help="take a pattern down by voice while you make it")
    write.add_argument("--out", type=Path, required=True, metavar="FILE", help="the pattern file that is written")
    write.add_argument("--typed", action="store_true", help="take one utterance a line from standard input")
    write.add_argument("--hear", type=Path, nargs="+", metavar="WAV", help="take recordings, in order")
    write.add_argument("--json", action="store_true", help="print one JSON object for every utterance")
    write.add_argument("--title", help="what the pattern is called (default: the file's name)")
    write.add_argument("--terms", choices=("US", "UK"), help="the terms you speak and it is written in (default: US)")
    write.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    write.add_argument("--ear", choices=("auto", "embedded", "vosk"), default="auto", help="which recogniser listens")
    _add_aloud(write)
    write.set_defaults(run=_write_down)

    publish = commands.add_parser("publish", help="lay a pattern out to print, to listen to, to read in braille")
    publish.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    publish.add_argument("--to", type=Path, required=True, metavar="DIR", help="the folder it is written to")
    publish.add_argument("--terms", choices=("US", "UK"), help="write it in these terms (default: as it is)")
    publish.add_argument("--own", action="store_true", help="you wrote it, so it is not marked as a personal copy")
    publish.add_argument("--left-handed", action="store_true", help="charts mirrored for a left-handed maker")
    publish.add_argument("--braille-grade", type=int, choices=(1, 2), default=1, help="1 uncontracted, 2 contracted")
    publish.add_argument("--no-audio", action="store_true", help="leave out the pattern read aloud")
    publish.set_defaults(run=_publish)

    estimate = commands.add_parser("estimate", help="size, yarn and time of a pattern, from your own gauge")
    estimate.add_argument("pattern", metavar="PATTERN", help="a pattern file, or - for standard input")
    _add_measures(estimate)
    estimate.add_argument(
        "--pace", type=float, nargs=2, metavar=("STITCHES", "MINUTES"), help="stitches you made and minutes they took"
    )
    estimate.add_argument("--terms", choices=("US", "UK"), help="read it in these terms, whatever it says")
    estimate.add_argument("--json", action="store_true", help="print one JSON object")
    estimate.set_defaults(run=_estimate)

    table = commands.add_parser("table", help="hook sizes, yarn weights or eye sizes, with their sources")
    table.add_argument("name", choices=("hooks", "yarns", "eyes"), help="which table")
    table.set_defaults(run=_table)

    shape = commands.add_parser("shape", help="a disc, ball, tube or cone as rounds, printed as a pattern")
    shape.add_argument("shape", choices=("disc", "ball", "tube", "cone"), help="which shape")
    shape.add_argument(
        "--stitches", type=int, required=True, metavar="N", help="stitches of its widest round, 6 to 120"
    )
    shape.add_argument("--rounds", type=int, metavar="N", help="rounds of a tube or cone")
    shape.add_argument("--open", action="store_true", help="a tube with no bottom")
    shape.set_defaults(run=_shape)

    spread = commands.add_parser("spread", help="spread increases or decreases evenly over a round")
    spread.add_argument("changes", type=int, metavar="INCREASES", help="how many increases")
    spread.add_argument("stitches", type=int, metavar="STITCHES", help="how many stitches the round below has")
    spread.add_argument("--decreases", action="store_true", help="so many decreases instead")
    spread.set_defaults(run=_spread)

    projects = commands.add_parser("projects", help="list your projects, take one to another machine, bring one in")
    projects.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    projects.add_argument("--export", nargs=2, metavar=("TITLE", "FILE"), help="write one project to one file")
    projects.add_argument("--bring-in", type=Path, metavar="FILE", help="take in a project written by --export")
    projects.set_defaults(run=_projects)

    log = commands.add_parser("log", help="the tester's log of a pattern, to send to its designer")
    log.add_argument("pattern", metavar="PATTERN", help="a pattern file that you worked")
    log.add_argument("--state", type=Path, metavar="DIR", help="where the journal lies")
    log.set_defaults(run=_log)

    models = commands.add_parser("models", help="which speech models are here, which can be had, and how")
    models.add_argument("model", nargs="?", metavar="MODEL", help="bring this one, such as vosk, the second ear")
    models.add_argument("--list", action="store_true", help="only list them; fetch nothing")
    models.set_defaults(run=_models)
    return parser


def _add_aloud(parser: argparse.ArgumentParser) -> argparse._ArgumentGroup:
    """The options of every talk aloud, in a group that may take more."""
    aloud = parser.add_argument_group("speaking and listening (the rest of the settings: `companion settings`)")
    aloud.add_argument("--voice", metavar="NAME", help="the voice that answers: its name, or a language such as en-gb")
    aloud.add_argument("--answers", choices=("voice", "tones", "print"), help="how replies come")
    aloud.add_argument("--headphones", action="store_true", default=None, help="its voice cannot reach the microphone")
    aloud.add_argument("--plain", action="store_true", default=None, help="lines that are only ever added, no picture")
    aloud.add_argument("--no-tones", dest="tones", action="store_false", default=None, help="no short tones")
    return aloud


def _add_measures(parser: argparse._ActionsContainer) -> None:
    """The options that sizes and yarn are worked out from."""
    parser.add_argument("--stitches-per-10cm", type=float, metavar="N", help="your own stitches over 10 cm")
    parser.add_argument("--rounds-per-10cm", type=float, metavar="N", help="your own rounds or rows over 10 cm")
    parser.add_argument("--hook", type=float, metavar="MM", help="your hook, where it is not the pattern's")
    parser.add_argument("--yarn", metavar="NAME", help="your yarn weight (DK, aran), where it is not the pattern's")
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
    parser.add_argument("--units", choices=("metric", "imperial"), default="metric", help="centimetres or inches")


def _demo(arguments: argparse.Namespace) -> int:
    from companion.rehearsal import rehearse

    right = rehearse(arguments.out, as_json=arguments.json, silent=arguments.silent)
    return DONE if right else CANNOT


def _check(arguments: argparse.Namespace) -> int:
    from companion.pattern.report import check_json, check_lines

    pattern = _pattern(arguments, arguments.terms)
    if arguments.json:
        print(check_json(pattern))
    elif arguments.text:
        for number, line in enumerate(pattern.source.splitlines(), start=1):
            print(f"{number}: {line}")
    else:
        print("\n".join(check_lines(pattern)))
    return PROBLEMS if pattern.errors else DONE


def _pattern(arguments: argparse.Namespace, terms: Terms | None = None) -> Pattern:
    """The pattern that is named, or the one on standard input for "-", read in these terms where they are given."""
    from companion.pattern.reader import read, read_file

    if arguments.pattern == "-":
        return read(sys.stdin.read(), terms=terms)
    return read_file(arguments.pattern, terms=terms)


def _work(arguments: argparse.Namespace) -> int:
    from companion.craft.yarn import Ball, Swatch
    from companion.session import open_session
    from companion.sums.measures import Measures

    if arguments.practise:
        return _practise(arguments)
    if arguments.pattern is None:
        raise MakerError("Name the pattern to work from, such as `companion work my-pattern.txt`.")
    measures = Measures(
        stitches_per_10cm=arguments.stitches_per_10cm,
        rounds_per_10cm=arguments.rounds_per_10cm,
        hook=arguments.hook,
        yarn=arguments.yarn,
        swatch=Swatch(*arguments.swatch) if arguments.swatch else None,
        ball=Ball(*arguments.ball) if arguments.ball else None,
        units=arguments.units,
    )

    def open_project(path: str) -> Session:
        return open_session(path, state=arguments.state, terms=arguments.terms, measures=measures)

    if arguments.typed:
        from companion.typed import work_typed

        work_typed(arguments.pattern, open_project, sys.stdin, as_json=arguments.json)
    else:
        from companion.live import work_aloud

        settings = _chosen_settings(arguments)
        work_aloud(arguments.pattern, open_project, ear=arguments.ear, as_json=arguments.json, settings=settings)
    return DONE


def _practise(arguments: argparse.Namespace) -> int:
    from companion.practice import practise_aloud, practise_recordings, practise_typed

    if arguments.hear:
        practise_recordings(arguments.hear, ear=arguments.ear, as_json=arguments.json)
    elif arguments.typed:
        practise_typed(sys.stdin, as_json=arguments.json)
    else:
        practise_aloud(ear=arguments.ear, as_json=arguments.json, settings=_chosen_settings(arguments))
    return DONE


def _chosen_settings(arguments: argparse.Namespace) -> Settings:
    """The remembered settings, changed for this session by what the command line asks for."""
    from companion import settings

    names = ("voice", "answers", "headphones", "attention", "plain", "tones")
    asked = {name: getattr(arguments, name, None) for name in names}
    return settings.load().model_copy(update={name: value for name, value in asked.items() if value is not None})


def _at_login(arguments: argparse.Namespace) -> int:
    from companion.login import not_at_login, start_at_login

    if arguments.pattern is None:
        print("It will not start at login any more." if not_at_login() else "It did not start at login.")
    else:
        print(f"It will start at login, by the file {start_at_login(arguments.pattern)}.")
    return DONE


def _settings(arguments: argparse.Namespace) -> int:
    from companion import settings

    chosen = settings.load()
    if arguments.changes:
        chosen = settings.changed(chosen, arguments.changes)
        settings.save(chosen)
    print("\n".join(settings.as_lines(chosen)))
    if arguments.devices:
        from companion import devices

        found = [f"Microphone: {name}." for name in devices.names("input")]
        found += [f"Loudspeaker: {name}." for name in devices.names("output")]
        print("\n".join(found) or "No microphone and no loudspeaker was found.")
    return DONE


def _hear(arguments: argparse.Namespace) -> int:
    from companion.hearing import hear_all

    hear_all(arguments.recordings, pattern=arguments.pattern, ear=arguments.ear, as_json=arguments.json)
    return DONE


def _phrases(arguments: argparse.Namespace) -> int:
    from companion.phrases.listing import as_lines

    print("\n".join(as_lines()))
    return DONE


def _write_down(arguments: argparse.Namespace) -> int:
    from companion.dictation.opening import open_dictation
    from companion.dictation.run import from_lines, from_recordings

    with open_dictation(arguments.out, state=arguments.state, terms=arguments.terms, title=arguments.title) as draft:
        if arguments.hear:
            from_recordings(draft, arguments.hear, ear=arguments.ear, as_json=arguments.json)
        elif arguments.typed:
            from_lines(draft, sys.stdin, as_json=arguments.json)
        else:
            from companion.dictation.aloud import write_down_aloud

            settings = _chosen_settings(arguments)
            write_down_aloud(draft, ear=arguments.ear, as_json=arguments.json, settings=settings)
    return DONE


def _publish(arguments: argparse.Namespace) -> int:
    from companion.craft import choose, pictures
    from companion.mouth.voice import MouthError, Voice
    from companion.paper.publish import Options, publish

    pattern = _pattern(arguments)
    with ExitStack() as stack:
        voice = None
        if not arguments.no_audio:
            try:
                voice = stack.enter_context(Voice())
            except MouthError as error:
                print(f"Not read aloud. {error}")
        options = Options(
            terms=arguments.terms,
            own=arguments.own,
            hand="left" if arguments.left_handed else "right",
            grade=arguments.braille_grade,
            render=voice.render if voice else None,
            pictures=pictures.of_pieces(choose.choose(pattern)),
        )
        published = publish(pattern, arguments.to, options)
    for file in published.files:
        print(file)
    for reason in published.skipped:
        print(reason)
    if published.questions:
        things = "one thing" if published.questions == 1 else f"{published.questions} things"
        print(f"A tester would ask about {things}; see the file for testers.")
    return PROBLEMS if pattern.errors else DONE


def _estimate(arguments: argparse.Namespace) -> int:
    from companion.craft import pace
    from companion.craft.estimate import estimate
    from companion.craft.report import as_json, as_lines
    from companion.craft.yarn import Ball, Swatch

    pattern = _pattern(arguments, arguments.terms)
    estimated = estimate(
        pattern,
        stitches_per_10cm=arguments.stitches_per_10cm,
        rounds_per_10cm=arguments.rounds_per_10cm,
        hook=arguments.hook,
        yarn_name=arguments.yarn,
        swatch=Swatch(*arguments.swatch) if arguments.swatch else None,
        ball=Ball(*arguments.ball) if arguments.ball else None,
        own_pace=pace.measured(*arguments.pace) if arguments.pace else None,
    )
    print(as_json(estimated) if arguments.json else "\n".join(as_lines(estimated, arguments.units)))
    return PROBLEMS if pattern.errors else DONE


def _table(arguments: argparse.Namespace) -> int:
    from companion.craft.report import table_lines

    print("\n".join(table_lines(arguments.name)))
    return DONE


def _shape(arguments: argparse.Namespace) -> int:
    from companion.craft import shaping

    rounds = arguments.rounds
    if arguments.shape in ("tube", "cone") and rounds is None:
        raise MakerError(f"A {arguments.shape} needs a number of rounds; add --rounds N.")
    match arguments.shape:
        case "disc":
            shape = shaping.disc(arguments.stitches)
        case "ball":
            shape = shaping.ball(arguments.stitches)
        case "tube":
            shape = shaping.tube(arguments.stitches, rounds, closed=not arguments.open)
        case _:
            shape = shaping.cone(arguments.stitches, rounds)
    print(shape.pattern)
    return DONE


def _spread(arguments: argparse.Namespace) -> int:
    from companion.craft.spread import even

    print(even("dec" if arguments.decreases else "inc", arguments.changes, arguments.stitches).text)
    return DONE


def _projects(arguments: argparse.Namespace) -> int:
    from companion import resources
    from companion.place.projects import export_project, find, import_project, listed

    folder = arguments.state or resources.state_folder()
    if arguments.export:
        title, file = arguments.export
        found = find(folder, title)
        if found is None:
            raise MakerError(f"There is no project called {title}. `companion projects` lists yours.")
        export_project(found.file, Path(file))
        print(f"{found.pattern.title} is in {file}.")
    elif arguments.bring_in:
        print(f"{import_project(arguments.bring_in, folder).pattern.title} is here now.")
    else:
        entries = listed(folder, None)
        print("\n".join(entry.title for entry in entries) or "There are no projects yet.")
    return DONE


def _log(arguments: argparse.Namespace) -> int:
    from companion.place.tester_log import as_text
    from companion.session import open_session

    with open_session(arguments.pattern, state=arguments.state) as session:
        print(as_text(session.work.view))
    return DONE


def _models(arguments: argparse.Namespace) -> int:
    from companion.ear.models import EMBEDDED, fetch, listing

    if not arguments.list:
        fetch(arguments.model or EMBEDDED)
    for status in listing():
        state = {
            "ready": f"here, in {status.folder}",
            "missing": f"not here; `{status.model.command}` brings it",
            "damaged": f"damaged; `{status.model.command}` brings it again",
        }[status.state]
        print(f"{status.model.name}: {status.model.what}. Licence {status.model.licence}. It is {state}.")
    return DONE
