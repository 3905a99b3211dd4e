"""Proof by the trace of system calls: every reply to a move is preceded by the flush of its event to disk.

Run by itself it makes moves and writes a line after each; under strace, `flushed_before_reply` reads the trace.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from random import Random

from benchmarks.place_model import pattern_of, random_plan
from companion.place.work import Work

MOVES = ("next", "next_stitch", "undo", "redo", "next", "pause", "resume", "goodbye")
_FLUSH = re.compile(r"\b(fsync|fdatasync)\(\d+\)\s*= 0")
_REPLY = re.compile(r'\bwrite\(1, "reply to (\w+)')


def can_trace() -> bool:
    """True where strace is installed and allowed."""
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-o", os.devnull, "true"], capture_output=True, check=False).returncode == 0


def flushed_before_reply() -> dict[str, int]:
    """For each reply, in order, how many flushes to disk the system made since the reply before it."""
    with tempfile.TemporaryDirectory() as folder:
        trace = Path(folder) / "trace"
        traced = ["strace", "-f", "-o", str(trace), "-e", "trace=fsync,fdatasync,write"]
        work = [sys.executable, "-m", "benchmarks.place_flush", str(Path(folder) / "state")]
        subprocess.run([*traced, *work], check=True, capture_output=True, cwd=Path(__file__).parent.parent)
        flushes = 0
        found: dict[str, int] = {}
        for line in trace.read_text(encoding="utf-8", errors="replace").splitlines():
            if _FLUSH.search(line):
                flushes += 1
            elif reply := _REPLY.search(line):
                found[f"{len(found) + 1} {reply.group(1)}"] = flushes
                flushes = 0
        return found


def make_moves(folder: Path) -> None:
    """The traced side: one line on standard output after every accepted move."""
    with Work.open(pattern_of(random_plan(Random(4))), folder) as work:
        work.opening()
        os.write(1, b"reply to opening\n")
        for move in MOVES:
            assert work.handle(move).accepted
            os.write(1, f"reply to {move}\n".encode())


if __name__ == "__main__":
    make_moves(Path(sys.argv[1]))
