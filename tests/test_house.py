"""The arrows of the house: which room may import which. Read from the source, so that a late import counts too."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "companion"
MAY_IMPORT = {
    "pattern": set(),
    "place": {"pattern"},
    "phrases": set(),
    "ear": {"phrases"},
    "mouth": set(),
    "wording": {"pattern", "place"},
    "craft": {"pattern"},
    "paper": {"pattern", "wording"},
    "sums": {"pattern", "place", "craft", "wording"},
}
OPEN_TO_ALL = {"errors", "resources", "devices"}


def imported(path: Path) -> Iterator[str]:
    """The rooms and modules of the package that a source file imports, by the name after `companion.`."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module == "companion":
            yield from (alias.name for alias in node.names)
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        yield from (name.split(".")[1] for name in names if name.startswith("companion."))


@pytest.mark.parametrize("room", sorted(MAY_IMPORT))
def test_a_room_imports_only_what_its_arrows_allow(room: str) -> None:
    files = sorted((PACKAGE / room).rglob("*.py"))
    assert files, f"the room {room} is empty"
    allowed = MAY_IMPORT[room] | OPEN_TO_ALL | {room}
    wrong = {(file.name, name) for file in files for name in imported(file) if name not in allowed}
    assert not wrong
