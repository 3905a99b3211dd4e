"""Renews the table of phrases in the README from the templates. Run it after changing them."""

from pathlib import Path

from companion.phrases.listing import as_table

README = Path(__file__).parent.parent / "README.md"
BEGIN = "<!-- phrases: made by `python scripts/phrase_table.py` -->"
END = "<!-- end of phrases -->"


def with_table(text: str) -> str:
    """The README's text with the table as the templates give it now."""
    before, rest = text.split(BEGIN)
    _, after = rest.split(END)
    return "\n".join([before + BEGIN, "", *as_table(), "", END + after])


if __name__ == "__main__":
    README.write_text(with_table(README.read_text(encoding="utf-8")), encoding="utf-8")
