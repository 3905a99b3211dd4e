"""Renews the list of all phrases, shared/phrases/README.md, from the templates. Run it after changing them."""

from pathlib import Path

from companion.phrases.listing import as_document

DOCUMENT = Path(__file__).parent.parent / "shared" / "phrases" / "README.md"

if __name__ == "__main__":
    DOCUMENT.write_text(as_document(), encoding="utf-8")
