"""The private sound server, at each of the two rates that devices commonly have."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.soundserver import SoundServer, missing


@pytest.fixture(scope="module", params=[44100, 48000])
def server(request: pytest.FixtureRequest) -> Iterator[SoundServer]:
    reason = missing()
    if reason:
        pytest.skip(f"the live tests need a private sound server: {reason}")
    with SoundServer(request.param) as server:
        yield server
