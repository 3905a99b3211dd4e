"""The command line. Thin: it takes the arguments, calls a room, prints what comes back.

Exit 0 done, 1 the pattern has problems, 2 cannot do what was asked. Errors are one clear sentence on standard error.
Rooms are imported where they are used, so that a check of a pattern loads nothing of speech or sound.
"""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from companion.arguments import parsed
from companion.errors import MakerError

if TYPE_CHECKING:
    from companion.pattern.model import Pattern, Terms
    from companion.session import Session
    from companion.settings import Settings

DONE, PROBLEMS, CANNOT = 0, 1, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Returns the exit code."""
    arguments = parsed(sys.argv[1:] if argv is None else argv)
    run = _RUN[arguments.command]
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


def _demo(arguments: Namespace) -> int:
    from companion.rehearsal import rehearse

    right = rehearse(arguments.out, as_json=arguments.json, silent=arguments.silent)
    return DONE if right else CANNOT


def _check(arguments: Namespace) -> int:
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


def _pattern(arguments: Namespace, terms: Terms | None = None) -> Pattern:
    """The pattern that is named, or the one on standard input for "-", read in these terms where they are given."""
    from companion.pattern.reader import read, read_file

    if arguments.pattern == "-":
        return read(sys.stdin.read(), terms=terms)
    return read_file(arguments.pattern, terms=terms)


def _work(arguments: Namespace) -> int:
    from companion.craft.yarn import Ball, Swatch
    from companion.session import open_session
    from companion.sums.measures import Measures

    if arguments.practise:
        return _practise(arguments)
    if arguments.pattern is None:
        raise MakerError("Name the pattern to work from, such as `companion work my-pattern.txt`.")
    measures = Measures(
        **_own_gauge(arguments),
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


def _own_gauge(arguments: Namespace) -> dict[str, Any]:
    """What the maker says of gauge, hook and yarn, for whatever works a gauge out of them."""
    return {name: getattr(arguments, name) for name in ("stitches_per_10cm", "rounds_per_10cm", "hook", "yarn")}


def _practise(arguments: Namespace) -> int:
    from companion.practice import practise_aloud, practise_recordings, practise_typed

    if arguments.hear:
        practise_recordings(arguments.hear, ear=arguments.ear, as_json=arguments.json)
    elif arguments.typed:
        practise_typed(sys.stdin, as_json=arguments.json)
    else:
        practise_aloud(ear=arguments.ear, as_json=arguments.json, settings=_chosen_settings(arguments))
    return DONE


def _chosen_settings(arguments: Namespace) -> Settings:
    """The remembered settings, changed for this session by what the command line asks for."""
    from companion import settings

    names = ("voice", "answers", "headphones", "attention", "plain", "tones")
    asked = {name: getattr(arguments, name, None) for name in names}
    return settings.load().model_copy(update={name: value for name, value in asked.items() if value is not None})


def _at_login(arguments: Namespace) -> int:
    from companion.login import not_at_login, start_at_login

    if arguments.pattern is None:
        print("It will not start at login any more." if not_at_login() else "It did not start at login.")
    else:
        print(f"It will start at login, by the file {start_at_login(arguments.pattern)}.")
    return DONE


def _settings(arguments: Namespace) -> int:
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


def _hear(arguments: Namespace) -> int:
    from companion.hearing import hear_all

    hear_all(arguments.recordings, pattern=arguments.pattern, ear=arguments.ear, as_json=arguments.json)
    return DONE


def _phrases(arguments: Namespace) -> int:
    from companion.phrases.listing import as_lines

    print("\n".join(as_lines()))
    return DONE


def _write_down(arguments: Namespace) -> int:
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


def _publish(arguments: Namespace) -> int:
    from companion.craft import choose, pictures
    from companion.mouth.voice import MouthError, Voice
    from companion.paper.publish import Options, publish

    pattern = _pattern(arguments)
    gauge = choose.choose(pattern, **_own_gauge(arguments))
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
            aloud=voice is not None,  # else the maker wants none, or has been told why there is none
            render=voice.render if voice else None,
            pictures=pictures.of_pieces(gauge, arguments.units),
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


def _estimate(arguments: Namespace) -> int:
    from companion.craft import pace, units, wanted
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
    lines = as_lines(estimated, arguments.units)
    if arguments.high is not None or arguments.wide is not None:
        high, wide = (
            units.millimetres(text) if text is not None else None for text in (arguments.high, arguments.wide)
        )
        lines += [
            "",
            wanted.line(
                pattern,
                estimated.gauge,
                name=arguments.piece,
                high_mm=high,
                wide_mm=wide,
                hook=arguments.hook,
                system=arguments.units,
            ),
        ]
    print(as_json(estimated) if arguments.json else "\n".join(lines))
    return PROBLEMS if pattern.errors else DONE


def _table(arguments: Namespace) -> int:
    from companion.craft.report import table_lines

    print("\n".join(table_lines(arguments.name)))
    return DONE


def _shape(arguments: Namespace) -> int:
    from companion.craft import choose, units
    from companion.craft.shape_of_size import Wanted, shape_of

    gauge = choose.without_pattern(**_own_gauge(arguments))
    wanted = Wanted(
        arguments.shape,
        stitches=arguments.stitches,
        across_mm=units.millimetres(arguments.across) if arguments.across is not None else None,
        rounds=arguments.rounds,
        high_mm=units.millimetres(arguments.high) if arguments.high is not None else None,
        bottom=not arguments.open,
    )
    shape = shape_of(wanted, gauge, hook=arguments.hook, yarn=arguments.yarn, system=arguments.units)
    print(shape.pattern, end="")
    return DONE


def _spread(arguments: Namespace) -> int:
    from companion.craft.spread import changes_of_text, even

    below = changes_of_text(arguments.after, arguments.stitches) if arguments.after is not None else ()
    spread = even("dec" if arguments.decreases else "inc", arguments.changes, arguments.stitches, below)
    print(f"{spread.text} [{spread.makes}]")
    return DONE


def _projects(arguments: Namespace) -> int:
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


def _log(arguments: Namespace) -> int:
    from companion.place.tester_log import as_text
    from companion.session import open_session

    with open_session(arguments.pattern, state=arguments.state) as session:
        print(as_text(session.work.view))
    return DONE


def _models(arguments: Namespace) -> int:
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


_RUN: Final[dict[str, Callable[[Namespace], int]]] = {
    "demo": _demo,
    "check": _check,
    "work": _work,
    "settings": _settings,
    "at-login": _at_login,
    "hear": _hear,
    "phrases": _phrases,
    "write-down": _write_down,
    "publish": _publish,
    "estimate": _estimate,
    "table": _table,
    "shape": _shape,
    "spread": _spread,
    "projects": _projects,
    "log": _log,
    "models": _models,
}
