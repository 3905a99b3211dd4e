"""The text of word-processor documents, .docx and .odt: a paragraph or table row a line."""

from __future__ import annotations

import io
from collections import Counter
from typing import TYPE_CHECKING, Any

from companion.pattern.webpage import tidy

if TYPE_CHECKING:
    from docx.document import Document as DocxDocument
    from docx.text.paragraph import Paragraph


class DamagedError(Exception):
    """A document its library cannot make sense of."""


# --- docx ---


def text_of_docx(data: bytes) -> str:
    """The text of a .docx. Raises DamagedError."""
    from docx import Document
    from docx.table import Table

    try:
        document = Document(io.BytesIO(data))
        numbers: Counter[tuple[str, str]] = Counter()
        lines: list[str] = []
        for block in document.iter_inner_content():
            if isinstance(block, Table):
                for row in block.rows:
                    lines.append(" | ".join(cell.text.replace("\n", " ").strip() for cell in row.cells))
                lines.append("")
            else:
                lines.append(_docx_paragraph(block, document, numbers))
        return tidy("\n".join(lines))
    except Exception as error:  # python-docx raises whatever it stumbles over in a damaged file
        raise DamagedError from error


def _docx_paragraph(paragraph: Paragraph, document: DocxDocument, numbers: Counter[tuple[str, str]]) -> str:
    text = paragraph.text
    style = (paragraph.style.name or "") if paragraph.style is not None else ""
    if style in ("Title", "Heading 1"):
        return f"\n# {text}\n"
    if style.startswith("Heading"):
        return f"\n## {text}\n"
    kind, key = _docx_list(paragraph, document, style)
    if kind == "number":
        numbers[key] += 1
        return f"{numbers[key]}. {text}"
    if paragraph._p.xpath(".//pic:pic") and not text.strip():
        return "[Picture]"
    if kind is None:
        numbers.clear()  # a list that is broken off starts again
    return f"- {text}" if kind == "bullet" else text


def _docx_list(paragraph: Paragraph, document: DocxDocument, style: str) -> tuple[str | None, tuple[str, str]]:
    """Whether a paragraph is a list item, numbered or not, and of which list."""
    properties = paragraph._p.pPr
    marks: Any = properties.numPr if properties is not None else None
    if marks is None:
        if style.startswith("List Number"):
            return "number", (style, "0")
        return ("bullet" if style.startswith("List Bullet") else None), ("", "")
    list_id = str(marks.numId.val) if marks.numId is not None else ""
    level = str(marks.ilvl.val) if marks.ilvl is not None else "0"
    root = document.part.numbering_part.element
    abstract = root.xpath(f'./w:num[@w:numId="{list_id}"]/w:abstractNumId/@w:val')
    path = (
        f'./w:abstractNum[@w:abstractNumId="{abstract[0]}"]/w:lvl[@w:ilvl="{level}"]/w:numFmt/@w:val'
        if abstract
        else ""
    )
    formats = root.xpath(path) if path else []
    return ("bullet" if formats and formats[0] == "bullet" else "number"), (list_id, level)


# --- odt ---


def text_of_odt(data: bytes) -> str:
    """The text of an .odt. Raises DamagedError."""
    from odfdo import Document

    try:
        document = Document(io.BytesIO(data))
        lines: list[str] = []
        ordered = _odt_ordered_styles(document)
        for element in document.body.children:
            _odt_element(element, lines, ordered)
        return tidy("\n".join(lines))
    except Exception as error:  # odfdo raises whatever it stumbles over in a damaged file
        raise DamagedError from error


def _odt_ordered_styles(document: object) -> set[str]:
    """The names of list styles that number their items."""
    names: set[str] = set()
    for style in document.get_styles(family="list"):  # type: ignore[attr-defined]
        if style.get_elements("text:list-level-style-number") and style.name:
            names.add(style.name)
    return names


def _odt_element(element: object, lines: list[str], ordered: set[str]) -> None:
    tag = element.tag  # type: ignore[attr-defined]
    if tag == "text:h":
        level = str(element.get_attribute("text:outline-level") or "1")  # type: ignore[attr-defined]
        lines.append(f"\n{'#' * min(6, int(level))} {_odt_words(element)}\n")
    elif tag == "text:p":
        lines.append(_odt_words(element))
    elif tag == "text:list":
        style = element.get_attribute("text:style-name")  # type: ignore[attr-defined]
        for n, item in enumerate(element.children, 1):  # type: ignore[attr-defined]
            mark = f"{n}. " if style in ordered else "- "
            lines.append(mark + " ".join(_odt_words(child) for child in item.children))
    elif tag == "table:table":
        for row in element.get_elements("descendant::table:table-row"):  # type: ignore[attr-defined]
            cells = row.get_elements("table:table-cell")
            lines.append(" | ".join(" ".join(_odt_words(child) for child in cell.children) for cell in cells))
        lines.append("")
    else:
        for child in element.children:  # type: ignore[attr-defined]
            _odt_element(child, lines, ordered)


def _odt_words(element: object) -> str:
    return str(element.text_recursive).replace("\n", " ")  # type: ignore[attr-defined]
