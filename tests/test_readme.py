"""What the README promises is so."""

from pathlib import Path

from companion.phrases.listing import as_table

ROOT = Path(__file__).parent.parent


def test_the_table_of_phrases_is_the_one_of_the_templates() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "\n".join(as_table()) in readme, "run scripts/phrase_table.py"


def test_the_first_paragraph_tells_the_job_and_the_two_commands_follow() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert readme.index("sh scripts/demo") < readme.index("sh scripts/test") < readme.index("## ")
