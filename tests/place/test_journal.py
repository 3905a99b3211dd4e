"""Nothing told is ever lost: damage, foreign files, two sessions, full and read-only disks, kills, old versions."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from benchmarks import place_flush, place_kill
from companion.pattern.model import Pattern
from companion.pattern.reader import read
from companion.place import schema
from companion.place.answers import Opened, Reason, Refused
from companion.place.journal import Journal
from companion.place.journal_files import DamagedError, JournalError, ProjectInUseError
from companion.place.projects import export_project, import_project
from companion.place.work import Work

Patterns = dict[str, Callable[[], Pattern]]
OLD_JOURNALS = Path(__file__).parent / "journals"


def journal_in(folder: Path) -> Path:
    return next(folder.glob("*.journal"))


@pytest.fixture
def worked(open_acorn: Callable[[], Work]) -> Work:
    """A project with five moves told: round 3, stitch 8, then a note."""
    work = open_acorn()
    for name, slots in (("next", {}), ("next", {}), ("have_done", {"stitches": 5}), ("more", {"stitches": 3})):
        assert work.handle(name, slots).accepted
    assert work.handle("note", {"text": "soft yarn"}).accepted
    return work


def test_a_restart_finds_place_notes_and_undo(worked: Work, open_acorn: Callable[[], Work]) -> None:
    again = open_acorn()
    assert (again.place.round, again.place.stitch) == (3, 8)
    notes: Any = again.handle("my_notes").answer
    assert notes.notes[0].text == "soft yarn"
    assert again.depth == 5
    assert again.handle("undo").accepted
    assert again.handle("undo").place.stitch == 5  # type: ignore[union-attr]


def test_a_pause_and_a_hold_survive_a_restart(patterns: Patterns, tmp_path: Path) -> None:
    def open_() -> Work:
        return Work.open(patterns["figure"](), tmp_path)

    with open_() as work:
        work.handle("go_to_round", {"round": 6})
        assert work.handle("next").state == "held"
        assert work.handle("pause").state == "paused"
    with open_() as work:
        assert work.opening().state == "paused"
        assert not work.handle("next").accepted
        assert work.handle("resume").state == "held"
    with open_() as work:
        opened = work.opening()
        assert opened.state == "held"
        assert isinstance(opened.answer, Opened)
        assert opened.answer.turning is not None
        assert opened.answer.turning.kind == "eyes"


@pytest.mark.parametrize("page", range(6))
def test_a_damaged_file_is_kept_aside_and_said(
    worked: Work, open_acorn: Callable[[], Work], tmp_path: Path, page: int
) -> None:
    file = journal_in(tmp_path)
    worked.close()
    data = bytearray(file.read_bytes())
    assert len(data) > page * 4096
    for index in range(page * 4096 + (100 if page == 0 else 0), (page + 1) * 4096):
        data[index] ^= 0xFF
    file.write_bytes(bytes(data))
    work = open_acorn()
    opened = work.opening().answer
    assert isinstance(opened, Opened)
    assert opened.aside == file.name + ".aside-1"
    assert (tmp_path / opened.aside).read_bytes() == bytes(data)
    # What is taken over is a beginning of what was told, never something else.
    assert (work.place.round, work.place.stitch) in [(1, 0), (2, 0), (3, 0), (3, 5), (3, 8)]
    assert work.handle("next").accepted


def test_a_changed_event_is_noticed_and_what_came_before_it_is_saved(
    worked: Work, open_acorn: Callable[[], Work], tmp_path: Path
) -> None:
    worked.close()
    with sqlite3.connect(journal_in(tmp_path)) as db:
        db.execute("DROP TRIGGER events_kept")
        db.execute("UPDATE events SET change = replace(change, '8', '9') WHERE seq = 4")
    db.close()
    work = open_acorn()
    opened = work.opening().answer
    assert isinstance(opened, Opened)
    assert opened.aside
    assert (work.place.round, work.place.stitch) == (3, 5)


def test_a_foreign_file_is_never_overwritten(worked: Work, open_acorn: Callable[[], Work], tmp_path: Path) -> None:
    file = journal_in(tmp_path)
    worked.close()
    file.write_text("a shopping list\n" * 500)
    work = open_acorn()
    opened = work.opening().answer
    assert isinstance(opened, Opened)
    assert (tmp_path / opened.aside).read_text() == "a shopping list\n" * 500
    assert (work.place.round, work.place.stitch) == (1, 0)


def test_the_database_of_another_program_is_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "x.journal"
    with sqlite3.connect(file) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")
    db.close()
    with pytest.raises(DamagedError) as error:
        Journal.open(file)
    assert error.value.foreign


def test_a_journal_of_a_later_program_is_left_alone(
    worked: Work, open_acorn: Callable[[], Work], tmp_path: Path
) -> None:
    file = journal_in(tmp_path)
    worked.close()
    with sqlite3.connect(file) as db:
        db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    db.close()
    with pytest.raises(JournalError, match="later version"):
        open_acorn()
    assert file.exists()


def test_the_journal_is_only_ever_added_to(worked: Work, tmp_path: Path) -> None:
    worked.close()
    with sqlite3.connect(journal_in(tmp_path)) as db:
        for statement in ("DELETE FROM events", "UPDATE events SET at = 0", "DELETE FROM patterns"):
            with pytest.raises(sqlite3.IntegrityError, match="only added to"):
                db.execute(statement)
    db.close()


def test_the_second_session_on_a_project_is_told(worked: Work, patterns: Patterns, tmp_path: Path) -> None:
    with pytest.raises(ProjectInUseError, match="another session"):
        Work.open(patterns["acorn"](), tmp_path, path=tmp_path / "acorn.txt")
    # Another project is no trouble, and the list of projects can be read meanwhile.
    with Work.open(patterns["figure"](), tmp_path, path=tmp_path / "figure.txt") as other:
        projects: Any = other.handle("which_projects").answer
    assert sorted((p.piece, p.round, p.open) for p in projects.projects) == [("Body", 3, False), ("Head", 1, True)]


def test_a_session_in_another_process_is_told_too(worked: Work) -> None:
    program = (
        "import sys\n"
        "from pathlib import Path\n"
        "from companion.place.journal import Journal\n"
        "from companion.place.journal_files import ProjectInUseError\n"
        "try: Journal.open(Path(sys.argv[1]))\n"
        "except ProjectInUseError as error: print(error)\n"
    )
    command = [sys.executable, "-c", program, str(worked.journal.path)]
    found = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "open in another session" in found.stdout
    worked.close()
    found = subprocess.run(command, capture_output=True, text=True, check=True)
    assert found.stdout == ""


def test_a_full_disk_moves_nothing_and_says_so(worked: Work, open_acorn: Callable[[], Work]) -> None:
    pages = worked.journal._db.execute("PRAGMA page_count").fetchone()[0]
    worked.journal._db.execute(f"PRAGMA max_page_count = {pages}")
    refusal = None
    for count in range(200):
        before = worked.place
        outcome = worked.handle("have_done", {"stitches": count % 18})
        if not outcome.accepted:
            refusal = outcome
            break
    assert refusal is not None
    assert isinstance(refusal.answer, Refused)
    assert refusal.answer.reason is Reason.NOT_SAVED
    assert refusal.place == before == worked.place
    worked.journal._db.execute("PRAGMA max_page_count = 1000000")
    assert worked.handle("have_done", {"stitches": 7}).accepted
    assert open_acorn().place.stitch == 7


def test_a_folder_that_cannot_be_made_is_said_with_what_to_do(patterns: Patterns, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match="--state"):
        Work.open(patterns["acorn"](), tmp_path / "file" / "state")


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such permission there")
def test_a_read_only_folder_is_said_with_what_to_do(worked: Work, tmp_path: Path) -> None:
    worked.close()
    # As another user, for root may write everywhere.
    program = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from companion.place.journal import Journal, JournalError\n"
        "if os.getuid() == 0: os.setuid(65534)\n"
        "try: Journal.open(Path(sys.argv[1]))\n"
        "except JournalError as error: print(error)\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o555)
        found = subprocess.run(
            [sys.executable, "-c", program, f"{folder}/x.journal"], capture_output=True, text=True, check=False
        )
    assert "--state" in found.stdout, found.stderr


def test_a_clock_that_goes_backwards_loses_nothing(worked: Work, open_acorn: Callable[[], Work], clock: Any) -> None:
    clock.pass_(-86_400 * 3)
    again = open_acorn()
    opened = again.opening().answer
    assert isinstance(opened, Opened)
    assert opened.hearsay
    assert (again.place.round, again.place.stitch) == (3, 8)
    assert again.handle("next").accepted
    left: Any = again.handle("time_left").answer
    assert left.low is None
    assert open_acorn().place.round == 4


def test_out_and_in_again_as_one_file(worked: Work, patterns: Patterns, tmp_path: Path) -> None:
    out = tmp_path / "out" / "acorn.project"
    out.parent.mkdir()
    export_project(worked.journal.path, out)
    assert [file.name for file in out.parent.iterdir()] == ["acorn.project"]
    with pytest.raises(JournalError, match="exists already"):
        export_project(worked.journal.path, out)
    with pytest.raises(JournalError, match="here already"):
        import_project(out, tmp_path)
    elsewhere = tmp_path / "elsewhere"
    brought = import_project(out, elsewhere)
    assert brought.pattern.source == "the text"
    assert brought.story.progress.stitch == 8
    # The pattern lies at another path there; its content tells the project.
    with Work.open(patterns["acorn"](), elsewhere, path=elsewhere / "my acorn.txt") as work:
        assert (work.place.round, work.place.stitch) == (3, 8)
    out.write_text("not a project")
    with pytest.raises(JournalError, match="not an exported project"):
        import_project(out, tmp_path / "third")


def test_a_title_that_is_no_name_for_a_file_can_be_brought_in(tmp_path: Path) -> None:
    pattern = read("Mouse / Cat: two in one?\nRound 1: 6 sc in MR (6)\n")
    with Work.open(pattern, tmp_path / "state", path=tmp_path / "two.txt") as work:
        export_project(work.journal.path, tmp_path / "two.project")
    brought = import_project(tmp_path / "two.project", tmp_path / "elsewhere")
    assert brought.file.parent == tmp_path / "elsewhere"
    assert brought.file.name.startswith("mouse-cat-two-in-one-")


def test_every_earlier_version_still_opens() -> None:
    """One journal of every version ever written is kept; the newest is made by `python -m benchmarks.place --keep`."""
    kept = sorted(int(file.stem.removeprefix("version-")) for file in OLD_JOURNALS.glob("version-*.journal"))
    assert kept == list(range(1, schema.VERSION + 1))
    for version in kept:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "old.journal"
            shutil.copyfile(OLD_JOURNALS / f"version-{version}.journal", file)
            journal = Journal.open(file)
            events = journal.events()
            assert [event.command for event in events][:3] == ["next", "next", "have_done"]
            assert journal.patterns()[0].title == "Plan"
            journal.append(1.0, "undo", "undo", {})
            journal.close()


def test_a_migration_is_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "x.journal"
    Journal.open(file).close()
    monkeypatch.setattr(schema, "VERSION", schema.VERSION + 2)
    monkeypatch.setattr(
        schema,
        "MIGRATIONS",
        {
            **schema.MIGRATIONS,
            schema.VERSION - 2: "ALTER TABLE patterns ADD COLUMN first TEXT DEFAULT '';",
            schema.VERSION - 1: "ALTER TABLE patterns ADD COLUMN second TEXT DEFAULT ''; SELECT no_such_function();",
        },
    )
    with pytest.raises(JournalError):
        Journal.open(file)
    with sqlite3.connect(file) as db:
        assert db.execute("PRAGMA user_version").fetchone()[0] == schema.VERSION - 1
        columns = [row[1] for row in db.execute("PRAGMA table_info(patterns)")]
    db.close()
    assert "first" in columns
    assert "second" not in columns


def test_a_journal_whose_making_was_cut_short_is_begun_again(tmp_path: Path) -> None:
    file = tmp_path / "x.journal"
    with sqlite3.connect(file) as db:
        db.execute("PRAGMA journal_mode = WAL")
    db.close()
    assert file.stat().st_size > 0
    journal = Journal.open(file)
    assert journal.events() == []
    assert journal.identity
    journal.close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_nothing_acknowledged_is_lost_to_kill_9(tmp_path: Path) -> None:
    tally = place_kill.run(tmp_path, 50, longest=0.02)
    assert tally.kills == 50
    assert tally.acknowledged > 0


@pytest.mark.skipif(not place_flush.can_trace(), reason="strace is not installed, or may not trace here")
def test_every_reply_is_preceded_by_the_flush_of_its_event() -> None:
    flushes = place_flush.flushed_before_reply()
    assert [name.split()[1] for name in flushes] == ["opening", *place_flush.MOVES]
    assert min(flushes.values()) >= 1, flushes
