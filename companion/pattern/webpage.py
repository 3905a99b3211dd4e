"""The text of a web page: a block a line."""

from __future__ import annotations

from typing import Final

from bs4 import BeautifulSoup, Comment, Tag
from bs4.element import NavigableString

_LEFT_OUT: Final = frozenset(
    {"script", "style", "head", "nav", "noscript", "template", "svg", "button", "form", "iframe"}
)
_BLOCKS: Final = frozenset({
    "p", "div", "li", "ul", "ol", "h1", "h2", "h3", "h4", "h5", "h6", "section", "article", "table", "tr", "br", "hr",
    "blockquote", "pre", "figure", "figcaption", "header", "footer", "main", "aside", "dl", "dt", "dd", "body",
})  # fmt: skip
_GAPS: Final = frozenset({"p", "ul", "ol", "table", "h1", "h2", "h3", "h4", "h5", "h6", "section", "article", "div"})
_CELLS: Final = frozenset({"td", "th"})


def text_of_html(data: bytes | str) -> str:
    """The words of a web page in reading order, headings marked with "#", list items with their number or "-"."""
    page = BeautifulSoup(data, "lxml")
    out: list[str] = []
    # Depth first with a stack of our own, since pages can be nested deeper than Python likes to call.
    stack: list[tuple[object, bool]] = [(page.body or page, False)]
    while stack:
        node, closing = stack.pop()
        if isinstance(node, NavigableString):
            if not isinstance(node, Comment):
                inside_pre = node.find_parent("pre") is not None
                out.append(str(node) if inside_pre else _collapsed(str(node)))
            continue
        if not isinstance(node, Tag) or node.name in _LEFT_OUT:
            continue
        if closing:
            _close(node, out)
            continue
        _open(node, out)
        stack.append((node, True))
        stack.extend((child, False) for child in reversed(list(node.children)))
    return tidy("".join(out))


def _collapsed(text: str) -> str:
    """Runs of blanks as one, as a browser shows them; non-breaking spaces stay."""
    words = text.replace("\n", " ").replace("\t", " ").replace("\r", " ").split(" ")
    inner = " ".join(word for word in words if word)
    if not inner:
        return " " if text else ""
    return (" " if text[0] in " \n\t\r" else "") + inner + (" " if text[-1] in " \n\t\r" else "")


def _open(tag: Tag, out: list[str]) -> None:
    if tag.name in _BLOCKS:
        out.append("\n\n" if tag.name in _GAPS else "\n")
    if tag.name in _CELLS and tag.find_previous_sibling(list(_CELLS)) is not None:
        out.append(" | ")
    if tag.name[:1] == "h" and tag.name[1:] in ("1", "2", "3", "4", "5", "6"):
        out.append("#" * int(tag.name[1:]) + " ")
    elif tag.name == "li":
        parent = tag.parent
        if parent is not None and parent.name == "ol":
            out.append(f"{1 + len(tag.find_previous_siblings('li')) + _start(parent) - 1}. ")
        else:
            out.append("- ")
    elif tag.name == "img" and tag.get("alt"):
        out.append(f"[Picture: {tag.get('alt')}]")


def _start(tag: Tag) -> int:
    value = str(tag.get("start", "1"))
    return int(value) if value.isdigit() and len(value) < 5 else 1


def _close(tag: Tag, out: list[str]) -> None:
    if tag.name == "tr" and (heads := tag.find_all("th", recursive=False)) and not tag.find("td", recursive=False):
        out.append("\n" + " | ".join(["---"] * len(heads)))  # what is above this is the head of a table
    if tag.name in _BLOCKS and tag.name != "br":
        out.append("\n\n" if tag.name in _GAPS else "\n")


def tidy(text: str) -> str:
    """Lines without blanks at their ends, and never more than one empty line in a row."""
    lines: list[str] = []
    for line in text.split("\n"):
        line = line.strip(" ")
        if line or (lines and lines[-1]):
            lines.append(line)
    return "\n".join(lines).strip("\n") + "\n"
