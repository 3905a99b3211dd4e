"""Python's garbage collector, kept from stopping everything while somebody speaks.

Now and then it looks through all objects, and no other thread goes on meanwhile. With the phrases and a pattern in
memory that takes a fifth of a second: the loudspeaker runs dry, which is heard, its echo comes out of step, and the
maker's words wait. So while talking aloud it is off, and called where nobody speaks.
"""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator


@contextlib.contextmanager
def collected_in_the_quiet() -> Iterator[None]:
    """Inside, garbage is collected by `collect` alone."""
    before = gc.isenabled()
    gc.disable()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        if before:
            gc.enable()


def collect() -> None:
    """Frees what became garbage since the last call, in some milliseconds.

    What is older is not looked through again: that is what takes long, and nearly all of it is freed without, when its
    last user lets go of it.
    """
    gc.collect()
    gc.freeze()
