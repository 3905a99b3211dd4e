"""Ways in: the text of a pattern file, whether plain text, PDF, web page or word-processor document.

Each kind comes out as the same plain text: a paragraph or table row a line, headings marked with "#", list items with
their number or "-", pictures as "[Picture: what it shows]". Problems point into that text. The libraries for each kind
are imported only where a file of that kind is opened.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from companion.errors import MakerError

MAX_BYTES: Final = 20_000_000
"""A larger file is no pattern."""

MAX_UNPACKED: Final = 60_000_000
"""How large a packed document may become when it is unpacked."""

MAX_TEXT: Final = 2_000_000
"""Characters of text beyond which a document is no pattern."""


class PatternFileError(MakerError):
    """A pattern file that cannot be read. Its message is one clear sentence for the maker."""


def text_of(path: Path) -> str:
    """The text in a pattern file. Raises PatternFileError where it is missing, empty, too large or unreadable."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise PatternFileError(f"{path} is a folder. Name the pattern file in it.")
        if size > MAX_BYTES:
            raise PatternFileError(f"{path} has {size // 1_000_000} megabytes, too much for a pattern. Check the name.")
        data = path.read_bytes()
    except FileNotFoundError:
        raise PatternFileError(f"There is no file {path}. Check the name.") from None
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise PatternFileError(f"{path} cannot be read: {reason}. Check that you may open it.") from None
    text = _reader_for(path, data)(path, data)
    if len(text) > MAX_TEXT:
        raise PatternFileError(f"{path} holds {len(text)} characters, too much for a pattern. Check the name.")
    if not text.strip():
        raise PatternFileError(f"{path} holds no text. If it is a picture or a scan, copy the text into a file first.")
    return text


def _reader_for(path: Path, data: bytes) -> Callable[[Path, bytes], str]:
    """The reader for a file, by what it begins with, and then by its name."""
    if data.startswith(b"%PDF"):
        return _pdf
    if data.startswith(b"PK\x03\x04"):
        return _packed
    if path.suffix.lower() in (".html", ".htm", ".xhtml") or data.lstrip()[:15].lower().startswith(
        (b"<!doctype html", b"<html")
    ):
        return _html
    if path.suffix.lower() in (".pdf", ".docx", ".odt"):
        raise PatternFileError(
            f"{path} is not what its name says; it may be damaged. Open it in the program it comes from."
        )
    return _plain


def _plain(path: Path, data: bytes) -> str:
    """Text in UTF-8, else UTF-16 where it says so, else as older Windows programs write it."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _html(path: Path, data: bytes) -> str:
    from companion.pattern.webpage import text_of_html

    return text_of_html(data)


def _pdf(path: Path, data: bytes) -> str:
    from companion.pattern.pdf import NoTextError, text_of_pdf

    try:
        return text_of_pdf(data)
    except NoTextError as error:
        raise PatternFileError(f"{path} {error}") from None


def _packed(path: Path, data: bytes) -> str:
    """A word-processor document, which is a packed folder."""
    import io
    import zipfile

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = {info.filename for info in packed.infolist()}
            unpacked = sum(info.file_size for info in packed.infolist())
    except zipfile.BadZipFile:
        raise PatternFileError(f"{path} is damaged. Open it in the program it comes from, and save it again.") from None
    if unpacked > MAX_UNPACKED:
        raise PatternFileError(f"{path} becomes too large when it is unpacked. Check that it is the right file.")
    from companion.pattern.documents import DamagedError, text_of_docx, text_of_odt

    try:
        if "word/document.xml" in names:
            return text_of_docx(data)
        if "content.xml" in names:
            return text_of_odt(data)
    except DamagedError:
        raise PatternFileError(f"{path} is damaged. Open it in the program it comes from, and save it again.") from None
    raise PatternFileError(
        f"{path} is a packed file of a kind not known here. Save the pattern as PDF, docx, odt or text."
    )
