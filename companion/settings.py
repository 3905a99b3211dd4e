"""What a maker has set for live sessions on this machine, kept in the platform's folder for settings.

How fast, how loud and how much is said belongs to the place (`place.settings`), is changed by voice and goes with the
maker's work. Here is what belongs to the machine: devices, voice, screen, keys.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from companion import resources
from companion.errors import MakerError
from companion.keys import KEYS
from companion.turn import Turn

Answers = Literal["voice", "tones", "print"]
"""How replies come: spoken; as tones, and printed; printed alone, for a screen reader to speak."""


class SettingsError(MakerError):
    """The file of settings cannot be read or written; the message says which and what to do."""


class Settings(BaseModel):
    """All of them, with what holds where nothing was set.

    microphone, loudspeaker: (part of) a device's name, None for the system's default. headphones: True saves taking the
    companion's own voice out of what it hears; None finds out. attention: the word that sentences must begin with to be
    acted on, None for no such word. keep_recordings: what was not understood is kept as
    sound, in `recordings_folder()`, and nothing else ever is.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    voice: str | None = None
    microphone: str | None = None
    loudspeaker: str | None = None
    headphones: bool | None = None
    attention: str | None = None
    answers: Answers = "voice"
    tones: bool = True
    plain: bool = False
    keep_recordings: bool = False
    keys: dict[str, str] = Field(default_factory=lambda: dict(KEYS))


_SPOKEN: Mapping[str, Mapping[str, Any]] = {
    "tones_on": {"tones": True},
    "tones_off": {"tones": False},
    "beeps_only": {"answers": "tones"},
    "print_only": {"answers": "print"},
    "speak_aloud": {"answers": "voice"},
    "attention_off": {"attention": None},
}
"""The commands by which a maker changes these settings with a word, and what each sets."""


def spoken(command: str | None, slots: Mapping[str, int | str]) -> dict[str, Any]:
    """What a command that was done changes in these settings; nothing for most."""
    if command == "attention_word":
        return {"attention": slots["word"]}
    return dict(_SPOKEN.get(command or "", {}))


def remember(changes: Mapping[str, Any], path: Path | None = None) -> None:
    """Keeps these changes for the next session, beside what is kept already. Raises SettingsError."""
    save(load(path).model_copy(update=dict(changes)), path)


def remember_spoken(turn: Turn) -> None:
    """Keeps what a turn in writing has set by a word, for the talks aloud. Raises SettingsError."""
    changes = spoken(turn.command, turn.slots) if turn.accepted else None
    if changes:
        remember(changes)


_YES_NO = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}


def changed(settings: Settings, changes: Sequence[str]) -> Settings:
    """The settings after changes such as "plain=yes", "voice=en-gb", "headphones=" (find out) or "keys.f=next".

    Raises SettingsError for a name or a value that does not exist, AttentionError for a word that cannot serve.
    """
    values = settings.model_dump()
    for change in changes:
        name, sign, value = change.partition("=")
        if not sign:
            raise SettingsError(f"Write {name}=VALUE to change a setting; `companion settings` lists them.")
        if name.startswith("keys."):
            values["keys"][name.removeprefix("keys.")] = value
        elif name == "attention":
            values[name] = None if value.lower() in ("", "no", "off") else _attention(value)[0]
        elif name in values and name != "keys":
            values[name] = _YES_NO.get(value.lower(), value or None)
        else:
            raise SettingsError(f"There is no setting called {name}; `companion settings` lists them.")
    try:
        return Settings.model_validate(values)
    except ValidationError as error:
        wrong = error.errors()[0]
        name = ".".join(str(part) for part in wrong["loc"])
        raise SettingsError(f"The setting {name} cannot be that: {wrong['msg'].lower()}.") from error


def _attention(word: str) -> tuple[str, str]:
    """See `companion.attention.weighed`; only whoever has such a word waits for the sentences to be laid out."""
    from companion.attention import weighed
    from companion.pattern.reader import read
    from companion.phrases.phrasebook import Phrasebook
    from companion.wording.speaker import Wording

    return weighed(word, Phrasebook(), Wording(read("")))


def as_lines(settings: Settings) -> tuple[str, ...]:
    """Each setting on a line, as it would be given to `changed`; last, where all that is kept lies."""
    lines = []
    for name, value in settings.model_dump().items():
        if isinstance(value, dict):
            lines += [f"{name}.{key}={words}" for key, words in value.items()]
        else:
            lines.append(f"{name}={'' if value is None else {True: 'yes', False: 'no'}.get(value, value)}")
    if settings.attention and (doubt := _attention(settings.attention)[1]):
        lines.append(doubt)
    lines.append(f"Kept in {settings_file()}.")
    lines.append(f"Your places and notes are kept in {resources.state_folder()}.")
    if settings.keep_recordings:
        lines.append(f"Recordings of what was not understood are kept in {recordings_folder()}; delete them there.")
    else:
        lines.append("No recordings are kept.")
    return tuple(lines)


def settings_file() -> Path:
    """Where they are kept."""
    return Path(platformdirs.user_config_dir(resources.APP)) / "live.json"


def recordings_folder() -> Path:
    """Where recordings lie that a maker asked to keep; deleting the folder deletes them all."""
    return Path(platformdirs.user_data_dir(resources.APP)) / "not-understood"


def load(path: Path | None = None) -> Settings:
    """The settings of that file, the usual ones where there is none. Raises SettingsError for a damaged file."""
    path = path or settings_file()
    if not path.exists():
        return Settings()
    try:
        return Settings.model_validate_json(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        wrong = ""
        if isinstance(error, ValidationError) and error.errors()[0]["loc"]:
            wrong = f" at {'.'.join(str(part) for part in error.errors()[0]['loc'])}"
        raise SettingsError(f"The settings in {path} cannot be read{wrong}; mend or delete that file.") from error


def save(settings: Settings, path: Path | None = None) -> Path:
    """Keeps the settings, whole or not at all; gives the file. Raises SettingsError."""
    path = path or settings_file()
    beside = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(settings.model_dump_json(indent=2) + "\n", encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        raise SettingsError(f"The settings cannot be kept in {path}: {error.strerror}.") from error
    return path
