"""A tag with chapters for an MP3 file: ID3v2.4.0, with the chapter frames of its addendum.

Written after the published descriptions "ID3 tag version 2.4.0: Main Structure", "Native Frames" (id3.org, 2000) and
"ID3v2 Chapter Frame Addendum 1.0" (id3.org, 2005), from memory. Only what is needed here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_UTF8 = b"\x03"
_NO_OFFSET = b"\xff\xff\xff\xff"
_TOP_LEVEL, _ORDERED = 0x02, 0x01
_MOST_ENTRIES = 255
"""A table of contents counts its entries in one byte."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stretch of the sound with its title. `start` and `end` in milliseconds."""

    title: str
    start: int
    end: int


def tag(texts: dict[str, str], chapters: Sequence[Chapter] = ()) -> bytes:
    """The whole tag, to be put before the sound.

    `texts` holds text frames by their name: "TIT2" the title, "TIT3" what else to know of it, "TALB" the album, "TPE1"
    the artist, "TCOP" the copyright line, "TRCK" the track. Empty ones are left out. Chapters follow each other in one
    table of contents; beyond 255 of them the table has parts.
    """
    body = b"".join(_text(name, text) for name, text in texts.items() if text)
    if chapters:
        ids = [f"c{number}" for number in range(1, len(chapters) + 1)]
        body += _contents(ids)
        body += b"".join(_chapter(element, chapter) for element, chapter in zip(ids, chapters, strict=True))
    return b"ID3\x04\x00\x00" + _syncsafe(len(body)) + body


def _contents(ids: Sequence[str]) -> bytes:
    if len(ids) <= _MOST_ENTRIES:
        return _toc("toc", ids, top=True)
    parts = [ids[at : at + _MOST_ENTRIES] for at in range(0, len(ids), _MOST_ENTRIES)]
    names = [f"toc{number}" for number in range(1, len(parts) + 1)]
    inner = b"".join(_toc(name, part, top=False) for name, part in zip(names, parts, strict=True))
    return _toc("toc", names, top=True) + inner


def _toc(element: str, children: Sequence[str], *, top: bool) -> bytes:
    flags = _ORDERED | (_TOP_LEVEL if top else 0)
    named = b"".join(child.encode("ascii") + b"\0" for child in children)
    return _frame("CTOC", element.encode("ascii") + b"\0" + bytes([flags, len(children)]) + named)


def _chapter(element: str, chapter: Chapter) -> bytes:
    times = chapter.start.to_bytes(4, "big") + chapter.end.to_bytes(4, "big")
    content = element.encode("ascii") + b"\0" + times + _NO_OFFSET + _NO_OFFSET + _text("TIT2", chapter.title)
    return _frame("CHAP", content)


def _text(name: str, text: str) -> bytes:
    return _frame(name, _UTF8 + text.encode("utf-8"))


def _frame(name: str, content: bytes) -> bytes:
    return name.encode("ascii") + _syncsafe(len(content)) + b"\0\0" + content


def _syncsafe(number: int) -> bytes:
    """Four bytes of seven bits each, so that no byte looks like the beginning of sound."""
    return bytes((number >> shift) & 0x7F for shift in (21, 14, 7, 0))
