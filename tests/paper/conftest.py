"""A real browser for the pages: Debian's chromium, headless, driven over its own debugging protocol."""

from __future__ import annotations

import json
import shutil
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from websockets.sync.client import ClientConnection, connect

AXE = [
    Path(__file__).parents[2] / ".cache" / "axe" / "node_modules" / "axe-core" / "axe.min.js",
    Path("/usr/share/javascript/axe-core/axe.min.js"),
]


class Browser:
    """One tab. Every method waits until it is done."""

    def __init__(self, socket: ClientConnection) -> None:
        self._socket = socket
        self._number = 0
        self.call("Page.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """One command of the protocol; its result. RuntimeError where the browser refuses it."""
        self._number += 1
        self._socket.send(json.dumps({"id": self._number, "method": method, "params": parameters}))
        while True:
            message = json.loads(self._socket.recv(timeout=60))
            if message.get("id") == self._number:
                if "error" in message:
                    raise RuntimeError(f"{method}: {message['error']['message']}")
                result: dict[str, Any] = message["result"]
                return result

    def open(self, path: Path, *, width: int = 900, scale: float = 1.0) -> None:
        """Opens a file in a window of so many CSS pixels; `scale` is the zoom."""
        size = {"width": width, "height": 900, "deviceScaleFactor": scale, "mobile": False}
        self.call("Emulation.setDeviceMetricsOverride", **size)
        self.call("Page.navigate", url=path.as_uri())
        while self.evaluate("document.readyState") != "complete":
            time.sleep(0.02)

    def look(self, *, media: str = "screen", scheme: str = "light") -> None:
        """Screen or print, light or dark."""
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        self.call("Emulation.setEmulatedMedia", media=media, features=features)

    def evaluate(self, script: str) -> Any:
        """The value of an expression in the page, awaited where it is a promise."""
        result = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise RuntimeError(str(result["exceptionDetails"]))
        return result["result"].get("value")


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """A browser tab; skipped where chromium is missing."""
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("chromium is not here: sudo apt-get install chromium")
    profile = tmp_path_factory.mktemp("profile")
    flags = ["--headless=new", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0", "--no-first-run"]
    process = subprocess.Popen(
        [program, *flags, f"--user-data-dir={profile}", "about:blank"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        port = _port(profile / "DevToolsActivePort")
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/json/list") as answer:
            tab = next(tab for tab in json.load(answer) if tab["type"] == "page")
        with connect(tab["webSocketDebuggerUrl"], max_size=None) as socket:
            yield Browser(socket)
    finally:
        process.terminate()
        process.wait(timeout=20)


def _port(file: Path) -> int:
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline:
        if file.exists() and (lines := file.read_text().split()):
            return int(lines[0])
        time.sleep(0.05)
    pytest.fail("chromium did not start")


@pytest.fixture(scope="session")
def axe() -> str:
    """The source of axe-core; skipped where it is missing."""
    for path in AXE:
        if path.is_file():
            return path.read_text(encoding="utf-8")
    pytest.skip("axe-core is not here: npm install --prefix .cache/axe axe-core")
