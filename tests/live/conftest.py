"""The private sound server, at each of the two rates that devices commonly have."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.soundserver import SoundServer, running_server


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Real devices run in real time: where a busy machine starves one of these tests, it is given two more chances."""
    for item in items:
        if "tests/live/" in item.path.as_posix():
            item.add_marker(pytest.mark.flaky(reruns=2))


@pytest.fixture(scope="module", params=[44100, 48000])
def server(request: pytest.FixtureRequest) -> Iterator[SoundServer]:
    with running_server(request.param) as server:
        yield server
