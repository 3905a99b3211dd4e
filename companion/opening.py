"""A device that is opened in a thread of its own: where a sound server hangs, that takes many seconds."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

from companion.devices import DeviceError


class Closes(Protocol):
    """A device that was opened."""

    def close(self) -> None: ...


Device = TypeVar("Device", bound=Closes)


class Opening(Generic[Device]):
    """Begins at once. make: opens the device and gives it; may raise DeviceError."""

    def __init__(self, make: Callable[[], Device]) -> None:
        self._make = make
        self._lock = threading.Lock()
        self._device: Device | None = None
        self._given_up = False
        # Of a session that ends meanwhile, the thread ends with it, and so does the process that holds the device.
        self._thread = threading.Thread(target=self._open, name="opens a device", daemon=True)
        self._thread.start()

    @property
    def pending(self) -> bool:
        """Whether a device may still come of it."""
        with self._lock:
            return self._device is not None or self._thread.is_alive()

    def taken(self) -> Device | None:
        """The open device, which is the caller's from then on; None where there is none yet."""
        with self._lock:
            device, self._device = self._device, None
            return device

    def give_up(self) -> None:
        """The device is not wanted any more: it is closed, at once or as soon as it is open."""
        with self._lock:
            self._given_up = True
            if self._device is not None:
                self._device.close()

    def _open(self) -> None:
        try:
            device = self._make()
        except DeviceError:
            return
        with self._lock:
            if self._given_up:
                device.close()
            else:
                self._device = device
