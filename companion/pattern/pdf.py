"""The text of a PDF, page after page, without the header and footer lines that every page repeats."""

from __future__ import annotations

import io
import logging
import re
import time
from collections import Counter
from typing import Final

from pypdf import PdfReader
from pypdf.errors import PyPdfError

from companion.pattern.webpage import tidy

MAX_PAGES: Final = 150
MAX_SECONDS: Final = 30.0
MAX_CHARACTERS: Final = 2_000_000
_EDGE_LINES: Final = 2


class NoTextError(Exception):
    """Why no text can be had from a PDF, as the end of a sentence that begins with its name."""


def text_of_pdf(data: bytes) -> str:
    """The text of a PDF. Raises NoTextError where it is damaged, locked, or nothing but pictures."""
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    until = time.monotonic() + MAX_SECONDS
    pages: list[list[str]] = []
    characters = 0
    try:
        reader = PdfReader(io.BytesIO(data))
        if reader.is_encrypted and not reader.decrypt(""):
            raise NoTextError("is locked with a password. Save an unlocked copy first.")
        if len(reader.pages) > MAX_PAGES:
            raise NoTextError(f"has {len(reader.pages)} pages, too many for a pattern. Save the pages you need.")
        for page in reader.pages:
            text = page.extract_text() or ""
            characters += len(text)
            if characters > MAX_CHARACTERS or time.monotonic() > until:
                raise NoTextError("is too large to be read as a pattern. Save the pages you need.")
            pages.append([line.rstrip() for line in text.split("\n")])
    except NoTextError:
        raise
    except (
        PyPdfError,
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        IndexError,
        RecursionError,
        OSError,
        OverflowError,
        AssertionError,
        MemoryError,
    ):
        raise NoTextError("is damaged, or no PDF. Open it in a viewer and save it again.") from None
    if not any(line.strip() for page in pages for line in page):
        raise NoTextError("has pictures of text, but no text. Have the words recognised first, or type them in.")
    return tidy("\n\n".join("\n".join(page) for page in _without_running_lines(pages)))


def _without_running_lines(pages: list[list[str]]) -> list[list[str]]:
    """The pages without headers and footers: edge lines that most pages share, but for the page number in them."""
    if len(pages) < 3:
        return [_without_page_number(page) for page in pages]
    seen = Counter(key for page in pages for key in {_running(line) for line in _edges(page)} if key)
    common = {key for key, n in seen.items() if n * 2 > len(pages)}
    kept = []
    for page in pages:
        edges = {id(line) for line in _edges(page)}
        kept.append([line for line in page if not (id(line) in edges and _running(line) in common)])
    return [_without_page_number(page) for page in kept]


def _edges(page: list[str]) -> list[str]:
    filled = [line for line in page if line.strip()]
    return filled[:_EDGE_LINES] + filled[-_EDGE_LINES:]


def _running(line: str) -> str:
    """An edge line with its numbers left out; empty for lines that are instructions."""
    words = re.sub(r"\d+", "#", line.strip().lower())
    return "" if re.match(r"(?:r|rnd|round|row)s?\W*#", words) else words


def _without_page_number(page: list[str]) -> list[str]:
    while page and (
        not page[-1].strip()
        or re.fullmatch(r"\W*(?:page\s*)?\d{1,3}(?:\s*(?:/|of)\s*\d{1,3})?\W*", page[-1].strip().lower())
    ):
        page = page[:-1]
    return page
