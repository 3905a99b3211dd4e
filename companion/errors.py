"""The one kind of error that reaches a maker."""

from __future__ import annotations


class MakerError(Exception):
    """Something a maker can act on: one clear sentence that says what is wrong and what to do next.

    Every room derives its own from it. The command line prints the sentence and ends with exit code 2; anything else
    that is raised is a fault of the program.
    """
