"""Started when the maker logs in, where they ask for it: one small file in the place each system keeps for that.

Sources: freedesktop.org, Desktop Application Autostart Specification 0.5 and Desktop Entry Specification 1.5;
launchd.plist(5) for macOS; the Startup folder of Windows.
"""

from __future__ import annotations

import os
import plistlib
import shlex
import subprocess
import sys
from pathlib import Path

from companion.errors import MakerError

_NAME = "companion-crochet"


class LoginError(MakerError):
    """It cannot be started at login; the message says why and what to do."""


def login_file(platform: str = sys.platform, home: Path | None = None) -> Path:
    """Where this system looks for what to start."""
    home = home or Path.home()
    if platform == "darwin":
        return home / "Library" / "LaunchAgents" / f"{_NAME}.plist"
    if platform == "win32":
        roaming = os.environ.get("APPDATA") or str(home / "AppData" / "Roaming")
        return Path(roaming) / "Microsoft" / "Windows" / "Start Menu" / "Programs" / "Startup" / f"{_NAME}.bat"
    config = os.environ.get("XDG_CONFIG_HOME") or str(home / ".config")
    return Path(config) / "autostart" / f"{_NAME}.desktop"


def start_at_login(pattern: Path, *, platform: str = sys.platform, home: Path | None = None) -> Path:
    """From the next login on, `companion work PATTERN` runs by itself; gives the file that sees to it. LoginError."""
    if not pattern.is_file():
        raise LoginError(f"There is no pattern {pattern}; give the name of the file to work from.")
    command = [sys.executable, "-m", "companion", "work", str(pattern.resolve()), "--plain"]
    file = login_file(platform, home)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(_content(command, platform))
    except OSError as error:
        raise LoginError(f"The file {file} cannot be written: {error.strerror}.") from error
    return file


def not_at_login(*, platform: str = sys.platform, home: Path | None = None) -> bool:
    """Takes the file away; whether there was one. Raises LoginError."""
    file = login_file(platform, home)
    try:
        file.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise LoginError(f"The file {file} cannot be taken away: {error.strerror}.") from error
    return True


def _content(command: list[str], platform: str) -> bytes:
    if platform == "darwin":
        return plistlib.dumps({"Label": _NAME, "ProgramArguments": command, "RunAtLoad": True})
    if platform == "win32":
        return f"@echo off\r\n{subprocess.list2cmdline(command)}\r\n".encode()
    lines = ["[Desktop Entry]", "Type=Application", "Name=Crochet companion", f"Exec={_exec(command)}", "Terminal=true"]
    return ("\n".join(lines) + "\n").encode()


def _exec(command: list[str]) -> str:
    """The command as an Exec key takes it: per cent signs doubled, arguments in double quotes, some signs escaped."""
    quoted = []
    for word in command:
        word = word.replace("%", "%%")
        if word == shlex.quote(word):
            quoted.append(word)
            continue
        for sign in ("\\", '"', "`", "$"):
            word = word.replace(sign, "\\" + sign)
        # The value is unescaped once as a string before the quoting is looked at.
        quoted.append('"' + word.replace("\\", "\\\\") + '"')
    return " ".join(quoted)
