"""What happens to the sound library when the sound system fails under it."""

import atexit
import threading
import time

from companion import devices


class Stuck:
    """A stream whose sound server died: whoever closes it waits until `let_go`."""

    def __init__(self) -> None:
        self.let_go = threading.Event()

    def close(self) -> None:
        self.let_go.wait(30)


def test_a_stream_that_does_not_close_holds_nobody_up() -> None:
    library = devices.sound_library()
    stream = Stuck()
    try:
        began = time.monotonic()
        devices.close(stream)
        devices.look_again()  # would wait for the stream for ever
        assert time.monotonic() - began < 10
    finally:
        stream.let_go.set()
        atexit.register(library._exit_handler)
