"""What may be said about one pattern while it is worked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .book import Book
from .names import spoken_forms
from .normal import plain


class Phrasebook(Book):
    """Sentences that may be said while a pattern with these pieces is open.

    `stitches` maps the key of each stitch to the names it is spoken by, in the terms of the maker; without it the names
    in the template file serve and stand for themselves. `projects` are the names of projects that may be opened.
    """

    def __init__(
        self,
        pieces: Sequence[str] = (),
        stitches: Mapping[str, Sequence[str]] | None = None,
        projects: Sequence[str] = (),
    ) -> None:
        lists = {"piece": spoken_forms(pieces), "project": spoken_forms(projects)}
        if stitches is not None:
            lists["stitch"] = [(plain(name), key) for key, spoken in stitches.items() for name in spoken]
        super().__init__("commands", lists)
