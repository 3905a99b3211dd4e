"""Where the program's data lies: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

from pathlib import Path

import platformdirs

APP = "companion"
_PACKAGE = Path(__file__).parent
_CHECKOUT = _PACKAGE.parent


def in_checkout() -> bool:
    """True where the program runs from its source tree, so that models and data lie beside the package."""
    return (_CHECKOUT / "pyproject.toml").is_file() and (_CHECKOUT / "shared").is_dir()


def shared_folder() -> Path:
    """The folder of data that program, documents and tests share: sample patterns, phrase lists."""
    return _CHECKOUT / "shared" if in_checkout() else _PACKAGE / "_data" / "shared"


def sample(name: str) -> Path:
    """The sample pattern of that file name."""
    return shared_folder() / "patterns" / name


def model_manifest() -> Path:
    """The list of speech models: what they are, whence they come, their hashes."""
    return (_CHECKOUT / "models" if in_checkout() else _PACKAGE / "_data" / "models") / "manifest.yaml"


def models_folder() -> Path:
    """Where fetched speech models lie: `models/` of a checkout, else the platform's data folder."""
    return _CHECKOUT / "models" if in_checkout() else Path(platformdirs.user_data_dir(APP)) / "models"


def state_folder() -> Path:
    """Where the journal lies unless the maker names another place."""
    return Path(platformdirs.user_data_dir(APP)) / "projects"
