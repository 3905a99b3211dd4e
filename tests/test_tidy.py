"""The code itself is clean: ruff's rules and format, mypy's strict types."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize(
    "command",
    [("ruff", "check"), ("ruff", "format", "--check"), ("mypy",)],
    ids=["rules", "format", "types"],
)
def test_the_code_is_clean(command: tuple[str, ...]) -> None:
    result = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout + result.stderr
