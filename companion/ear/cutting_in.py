"""When speech is held because the maker may be cutting in: at the first sound, and for as long as a voice goes on.

A sound alone holds it for a moment only: if no voice comes of it, a knock or a chair, speech goes on where it was, and
the next sound alone is let pass for a while, so that a noisy minute does not chop it up.
"""

from __future__ import annotations

_MOMENT = 6
"""Frames of 32 ms for which speech is held at least: a word that begins with a hiss is known for a voice after five."""
_UNMOVED = 60  # frames, two seconds, after a sound that was nothing in which no sound alone is heeded


class CuttingIn:
    """Asked once a frame of 32 ms."""

    def __init__(self) -> None:
        self._held_for = 0  # frames
        self._voice = False  # whether there was one since speech was held
        self._unmoved = 0

    def holds(self, *, sound: bool, voice: bool) -> bool:
        """Whether speech is held now. sound: something that is no echo was noticed; voice: it is one."""
        self._unmoved = max(0, self._unmoved - 1)
        if self._held_for > _MOMENT - 1 and not voice:
            self._unmoved = 0 if self._voice else _UNMOVED
            self._held_for, self._voice = 0, False
        elif self._held_for or voice or (sound and not self._unmoved):
            self._held_for += 1
            self._voice |= voice
        return self._held_for > 0
