"""How the maker likes to be talked to, remembered for all projects in one small file.

A file that cannot be read counts as absent: the usual settings are better company than an error.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from companion.place.answers import SettingChanged

FILE = "settings.json"


class Settings(BaseModel):
    """Speed and volume in per cent, how much is said, the working hand.

    `rest_minutes` is the time between words about resting the hands, 0 for none; `tempo` the beats a minute when the
    companion counts along.
    """

    model_config = ConfigDict(frozen=True, extra="ignore")

    speed: int = Field(default=100, ge=50, le=200)
    volume: int = Field(default=100, ge=20, le=200)
    verbosity: Literal["full", "brief", "numbers"] = "full"
    hand: Literal["right", "left"] = "right"
    rest_minutes: int = Field(default=60, ge=0)
    tempo: int = Field(default=30, ge=1)


_STEPS: dict[str, tuple[Literal["speed", "volume"], int]] = {
    "slower": ("speed", -15),
    "faster": ("speed", 15),
    "louder": ("volume", 20),
    "softer": ("volume", -20),
}
_LIMITS = {"speed": (55, 190), "volume": (20, 200)}
_CHOICES: dict[str, tuple[Literal["verbosity", "hand"], str]] = {
    "brief": ("verbosity", "brief"),
    "in_full": ("verbosity", "full"),
    "numbers_only": ("verbosity", "numbers"),
    "right_hand": ("hand", "right"),
    "left_hand": ("hand", "left"),
}
_ELSEWHERE: dict[str, tuple[Literal["tones", "answers", "voice", "attention"], str]] = {
    "tones_on": ("tones", "on"),
    "tones_off": ("tones", "off"),
    "beeps_only": ("answers", "tones"),
    "print_only": ("answers", "print"),
    "speak_aloud": ("answers", "voice"),
    "another_voice": ("voice", "another"),
    "attention_off": ("attention", ""),
}
"""What belongs to the machine: answered here, kept by whoever owns the devices (`companion.settings`)."""
_NUMBERS: dict[str, tuple[Literal["rest_minutes", "tempo"], str]] = {
    "rest_every": ("rest_minutes", "minutes"),
    "tempo": ("tempo", "beats"),
}
COMMANDS = frozenset({*_STEPS, *_CHOICES, *_ELSEWHERE, *_NUMBERS, "attention_word"})


def changed(settings: Settings, command: str, slots: Mapping[str, int | str]) -> tuple[Settings, SettingChanged]:
    """The settings after one of `COMMANDS`, and what to answer."""
    if command in _STEPS:
        step_name, step = _STEPS[command]
        low, high = _LIMITS[step_name]
        before: int = getattr(settings, step_name)
        value = min(high, max(low, before + step))
        answer = SettingChanged(step_name, value, at_limit=value == before)
        return settings.model_copy(update={step_name: value}), answer
    if command in _CHOICES:
        name, choice = _CHOICES[command]
        return settings.model_copy(update={name: choice}), SettingChanged(name, choice)
    if command in _ELSEWHERE:
        kept, value_kept = _ELSEWHERE[command]
        return settings, SettingChanged(kept, value_kept)
    if command == "attention_word":
        return settings, SettingChanged("attention", slots.get("word", ""))
    number_name, slot = _NUMBERS[command]
    number = int(slots.get(slot, getattr(settings, number_name)))
    return settings.model_copy(update={number_name: number}), SettingChanged(number_name, number)


def load(folder: Path) -> Settings:
    """The settings kept in that folder, or the usual ones."""
    try:
        return Settings.model_validate_json((folder / FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError, ValidationError):
        return Settings()


def save(folder: Path, settings: Settings) -> None:
    """Keeps them, whole or not at all. Raises `OSError`."""
    beside = folder / (FILE + ".new")
    with beside.open("w", encoding="utf-8") as file:
        file.write(settings.model_dump_json(indent=2))
        file.flush()
        os.fsync(file.fileno())
    beside.replace(folder / FILE)
