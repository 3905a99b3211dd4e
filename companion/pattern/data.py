"""Data files of the room, read and validated."""

from __future__ import annotations

from importlib.resources.abc import Traversable
from typing import TypeVar

import yaml
from pydantic import TypeAdapter

_T = TypeVar("_T")

# libyaml's parser is ten times as fast, and is in every wheel of PyYAML; without it the plain one does.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def load_yaml(file: Traversable, kind: type[_T]) -> _T:
    """The contents of a YAML file as `kind`. pydantic's ValidationError where they are not of that kind."""
    raw = yaml.load(file.read_text(encoding="utf-8"), Loader=_LOADER)
    return TypeAdapter(kind).validate_python(raw)
